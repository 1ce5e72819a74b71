"""A line that opens exclusively, notices loss and is found again; over real pseudo-terminals and sockets."""

from __future__ import annotations

import errno
import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
import serial

from drivers.backoff import BackOff
from drivers.errors import LinkLost, OutOfStep, PortBusy, PortDenied, PortMissing
from drivers.link import LineSettings, Link, WireLog
from drivers.serial_port import explain_open_failure

from .pty_peer import PtyPeer

Peers = Callable[..., PtyPeer]


def receive_all(link: Link, wanted: int) -> bytes:
    """What arrives until `wanted` bytes are there or two seconds have passed."""
    give_up = time.monotonic() + 2.0
    data = b""
    while len(data) < wanted and time.monotonic() < give_up:
        data += link.receive(0.1)
    return data


def test_bytes_go_both_ways(peers: Peers):
    peer = peers(hear=lambda line: b"you said " + line + b"\n")
    with Link(peer.device) as link:
        link.send(b"hello\n")
        assert receive_all(link, 15) == b"you said hello\n"


def test_silence_is_no_bytes_and_takes_the_time_it_was_given(peers: Peers):
    with Link(peers().device) as link:
        started = time.monotonic()
        assert link.receive(0.05) == b""
        assert 0.04 < time.monotonic() - started < 1.0


def test_what_was_there_before_opening_is_not_received(peers: Peers):
    peer = peers()
    peer.say(b"stale\n")
    with Link(peer.device) as link:
        assert link.receive(0.05) == b""


def test_a_second_open_says_who_holds_the_port(peers: Peers):
    peer = peers()
    with Link(peer.device), pytest.raises(PortBusy, match=f"this program itself.*{os.getpid()}"):
        Link(peer.device).open()


def test_a_port_held_by_another_program_names_it(peers: Peers):
    peer = peers()
    code = (
        "import serial, sys\n"
        f"port = serial.Serial({peer.device!r}, exclusive=True)\n"
        "print('open', flush=True)\n"
        "sys.stdin.read()\n"
    )
    with subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"open\n"
        with pytest.raises(PortBusy, match=f"held by python.*process {other.pid}"):
            Link(peer.device).open()
        other.communicate(b"")


def test_a_missing_port_says_so(tmp_path: Path):
    with pytest.raises(PortMissing, match="no such port"):
        Link(str(tmp_path / "ttyUSB7")).open()


def test_a_file_that_is_no_port_says_so(tmp_path: Path):
    (tmp_path / "notes.txt").write_text("no port")
    with pytest.raises(PortMissing, match="can't be used as a serial port"):
        Link(str(tmp_path / "notes.txt")).open()


def test_a_port_without_permission_names_the_group_and_the_way_in(peers: Peers, monkeypatch):
    peer = peers()

    def refuse(self: serial.Serial) -> None:
        raise serial.SerialException(errno.EACCES, "could not open port: Permission denied")

    monkeypatch.setattr(serial.Serial, "open", refuse)
    import grp

    group = grp.getgrgid(os.stat(peer.device).st_gid).gr_name
    with pytest.raises(PortDenied, match=rf"group {group}: run `sudo usermod -aG {group} \$USER`"):
        Link(peer.device).open()


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("could not open port 'COM5': PermissionError(13, 'Access is denied.', None, 5)", PortBusy),
        ("could not open port 'COM9': FileNotFoundError(2, 'The system cannot find the file')", PortMissing),
    ],
)
def test_the_words_of_another_system_are_understood(words, kind):
    assert isinstance(explain_open_failure("COM5", serial.SerialException(words)), kind)


def test_a_line_that_hangs_up_is_lost_and_closed(peers: Peers):
    peer = peers()
    link = Link(peer.device)
    link.open()
    peer.kill()
    with pytest.raises(LinkLost, match="went away"):
        link.receive(1.0)
    assert not link.is_open
    with pytest.raises(LinkLost, match="not open"):
        link.send(b"x")


def test_a_lost_line_is_found_again_under_its_name(peers: Peers):
    first = peers()
    link = Link(first.device)
    link.open()
    first.kill()
    with pytest.raises(LinkLost):
        link.receive(1.0)
    second = peers()
    link.reopen(2.0)
    second.say(b"back\n")
    assert receive_all(link, 5) == b"back\n"
    link.close()


def test_a_line_that_stays_away_is_given_up_in_time_with_the_reason(tmp_path: Path):
    link = Link(str(tmp_path / "gone"))
    started = time.monotonic()
    with pytest.raises(LinkLost, match=r"not back yet.*no such port"):
        link.reopen(0.2)
    assert time.monotonic() - started < 1.0


def test_a_peer_that_stops_reading_does_not_block_for_ever(tmp_path: Path):
    master, slave = os.openpty()
    link = Link(os.ttyname(slave), LineSettings(write_timeout_s=0.2))
    link.open()
    started = time.monotonic()
    with pytest.raises(LinkLost):
        link.send(b"x" * 1_000_000)
    link.close()
    assert time.monotonic() - started < 2.0
    os.close(master)
    os.close(slave)


def test_pauses_between_tries_double_up_to_a_limit_and_start_over():
    backoff = BackOff(0.1, 0.5)
    pauses = []
    for _ in range(5):
        backoff.failed(0.0)
        pauses.append(backoff.wait(0.0))
    assert pauses == pytest.approx([0.1, 0.2, 0.4, 0.5, 0.5])
    backoff.succeeded()
    backoff.failed(0.0)
    assert backoff.wait(0.0) == pytest.approx(0.1)


# -- sockets -----------------------------------------------------------------------------------------


@pytest.fixture
def server():
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.settimeout(5.0)
        yield listening


def test_a_socket_carries_bytes_both_ways_and_its_end_is_noticed(server):
    with Link(f"socket://127.0.0.1:{server.getsockname()[1]}") as link:
        far, _ = server.accept()
        with far:
            link.send(b"*IDN?\n")
            assert far.recv(100) == b"*IDN?\n"
            far.sendall(b"me\n")
            assert receive_all(link, 3) == b"me\n"
            assert link.receive(0.01) == b""
        with pytest.raises(LinkLost, match="closed by the other side"):
            link.receive(1.0)


def test_an_address_without_a_port_takes_that_of_the_profile(server):
    number = server.getsockname()[1]
    with Link("socket://127.0.0.1", LineSettings(socket_port=number)) as link:
        far, _ = server.accept()
        with far:
            link.send(b"hello")
            assert far.recv(100) == b"hello"


def test_nobody_listening_says_where():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        number = taken.getsockname()[1]
    with pytest.raises(PortMissing, match=f"socket://127.0.0.1:{number}: nobody answers"):
        Link(f"socket://127.0.0.1:{number}").open()


@pytest.mark.parametrize("port", ["socket://", "socket://host", "socket://host:x", "socket://host:5025/path"])
def test_a_socket_address_that_is_none_shows_a_right_one(port):
    with pytest.raises(PortMissing, match="expected socket://HOST:PORT"):
        Link(port).open()


# -- the wire log and its replay ---------------------------------------------------------------------


def test_every_byte_that_crossed_is_logged_and_replays(peers: Peers, tmp_path: Path):
    file = tmp_path / "wire.jsonl"
    peer = peers(hear=lambda line: b"\xb2" + line + b"\n")
    with WireLog(file) as log, Link(peer.device, wire_log=log) as link:
        link.send(b"one\n")
        answer = receive_all(link, 5)
    entries = [json.loads(line) for line in file.read_text().splitlines()]
    assert entries[0]["event"] == "opened"
    assert entries[1] | {"t": 0} == {"t": 0, "dir": "out", "text": "one\n"}
    assert entries[-1]["event"] == "closed"
    with Link(f"replay://{file}", sleep=lambda _: None) as replayed:
        assert replayed.receive(0.0) == b""
        replayed.send(b"one\n")
        assert receive_all(replayed, len(answer)) == answer == b"\xb2one\n"


@pytest.fixture
def recording(tmp_path: Path) -> str:
    file = tmp_path / "wire.jsonl"
    entries = [
        {"t": 0, "dir": "out", "text": "a\n"},
        {"t": 1, "dir": "in", "text": "1\n"},
        {"t": 2, "event": "lost"},
        {"t": 3, "dir": "in", "hex": "320a"},
    ]
    file.write_text("".join(json.dumps(each) + "\n" for each in entries))
    return f"replay://{file}"


def test_a_replay_loses_its_line_where_the_recording_did(recording):
    link = Link(recording, sleep=lambda _: None)
    link.open()
    link.send(b"a\n")
    assert link.receive(0.1) == b"1\n"
    with pytest.raises(LinkLost):
        link.receive(0.1)
    link.reopen(1.0)
    assert link.receive(0.1) == b"2\n"


def test_a_replay_that_is_asked_something_else_complains(recording):
    with Link(recording) as link, pytest.raises(OutOfStep, match=r"line 1: b'b\\n' was sent.*b'a\\n'"):
        link.send(b"b\n")


def test_a_replay_that_was_not_played_to_its_end_complains(recording, caplog):
    Link(recording).__enter__().close()
    assert "4 steps of the recording were not played" in caplog.text


@pytest.mark.parametrize("text", ["no json\n", "[1]\n", '{"t": 0, "dir": "in"}\n', '{"dir": "in", "hex": "x"}\n'])
def test_a_file_that_is_no_recording_is_refused_with_its_line(tmp_path, text):
    (tmp_path / "x").write_text(text)
    with pytest.raises(PortMissing, match="line 1: not an entry of a wire log"):
        Link(f"replay://{tmp_path}/x").open()


def test_a_recording_that_is_missing_says_so(tmp_path):
    with pytest.raises(PortMissing, match="can't be read"):
        Link(f"replay://{tmp_path}/none").open()
