"""`turnproof meet` as a person runs it: what it says, what it writes, and how it ends when something is wrong."""

from __future__ import annotations

import functools
import json
import os
import signal
import socket
import subprocess
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from drivers.finding_frame import Patience
from drivers.link import Link
from drivers.profile_files import load_meter_profile
from tests.cli.conftest import Ended
from tests.drivers.framing import hall
from tests.drivers.meter_at_port import MeterAtPort, plugging
from tests.drivers.pty_peer import PtyPeer
from tests.drivers.unknown_meter import UnknownMeter
from tests.warm_start import Started

Run = Callable[..., Ended]
AtPort = Callable[[UnknownMeter], MeterAtPort]
BRISK = ("--patience", "0.1")


@pytest.fixture(autouse=True)
def short_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pseudo-terminal answers at once; what a person waits for is left at its proportions."""
    monkeypatch.setattr("drivers.finding_frame.Patience", functools.partial(Patience, quiet_s=0.06, listen_s=0.5))


@pytest.fixture
def at_port(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[AtPort]:
    with plugging(tmp_path, monkeypatch) as plug:
        yield plug


@pytest.fixture
def silent(tmp_path: Path) -> Iterator[PtyPeer]:
    with PtyPeer(tmp_path / "tty") as peer:
        yield peer


def test_a_meter_is_met_and_a_profile_written_that_checks(run: Run, at_port: AtPort, tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    ended = run("meet", at_port(UnknownMeter()).device, "--write", str(target), *BRISK)
    assert ended.status == 0, ended.error
    told = {line[:18].strip(): line[18:] for line in ended.out.splitlines()}
    assert told["frame"] == "9600 8N1"
    assert told["identity"] == "NOBODY,TM6,0042,1.0   (4 fields, serial number in the third)"
    assert told["obeys"] == "LF and CR and CR LF at the end of a message"
    assert told["error queue"] == 'SYST:ERR? -> +0,"No error"'
    assert told["nearest profile"].startswith("scpi: ")
    assert f"wrote {target}" in ended.out
    assert "asking who it is at 9600 8N1" in ended.error
    assert run("check", str(target)).out == f"{target}: meter profile, good\n"
    assert load_meter_profile(str(target)).name == "mine"
    again = run("meet", "/dev/none", "--write", str(target))
    assert (again.status, again.error) == (3, f"--write: {target}: is there already, and is not written over\n")


def test_what_was_learnt_is_one_json_document(run: Run, at_port: AtPort) -> None:
    meter = UnknownMeter(echo=True, prompt=b"=>\r\n", error_prompt=b"?>\r\n", error_queue="")
    ended = run("meet", at_port(meter).device, "--json", "--frame", "9600 8N1", *BRISK)
    found = json.loads(ended.out)
    assert ended.status == 0
    assert (found["met"], found["whole"], found["echo"], found["prompts"]) == (True, True, True, ["=>", "?>"])
    assert found["frame"]["baud_rate"] == 9600
    assert (found["identity_fields"], found["serial_field"], found["error_query"]) == (4, 3, None)
    assert found["nearest"]["profile"] == "scpi"


def test_a_meter_that_only_talks_gives_no_profile(run: Run, at_port: AtPort, tmp_path: Path) -> None:
    meter = UnknownMeter(answers={}, error_queue="", stream=b"0.0012 VDC\r\n", stream_s=0.1)
    target = tmp_path / "mine.toml"
    ended = run("meet", at_port(meter).device, "--write", str(target), *BRISK)
    assert ended.status == 2
    assert "turn its continuous sending off" in ended.error.splitlines()[-1]
    assert "0.0012 VDC" in ended.out
    assert not target.exists()


def test_a_counter_board_at_the_port_is_recognised_as_one(run: Run, tmp_path: Path) -> None:
    stop = threading.Event()
    with PtyPeer(tmp_path / "tty") as peer:

        def talk() -> None:
            number = 0
            while not stop.wait(0.05):
                number += 1
                peer.say(hall(1, number, 20 * number, number))

        talker = threading.Thread(target=talk)
        talker.start()
        ended = run("meet", peer.device, "--patience", "0.05")
        stop.set()
        talker.join(10.0)
    assert ended.status == 2
    assert ended.error.splitlines()[-1].endswith(f"try turnproof count hall@{peer.device}")


def test_bytes_of_another_frame_are_called_unreadable(run: Run, at_port: AtPort) -> None:
    meter = UnknownMeter(stream=b"0.0012 VDC\r\n", stream_s=0.1)
    meter.frame = meter.frame.__class__(31250)
    ended = run("meet", at_port(meter).device, "--frame", "9600 8N1", "--patience", "0.02")
    assert ended.status == 4
    assert "bytes came, but no readable text in 1 frames (at 9600 8N1 " in ended.error.splitlines()[-1]


def test_a_silent_port_says_what_to_look_at(run: Run, silent: PtyPeer) -> None:
    ended = run("meet", silent.device, "--json", "--patience", "0.01")
    assert ended.status == 4
    assert "no answer in 18 frames; the port can't be set to 19 more; check that the meter is on" in ended.error
    assert json.loads(ended.out)["why"] == "silent"


def test_a_silent_socket_may_be_in_use(run: Run) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        ended = run("meet", f"socket://127.0.0.1:{server.getsockname()[1]}", "--patience", "0.02")
    assert ended.status == 4
    assert "connected, but silent there; is another program connected?" in ended.error.splitlines()[-1]


def test_time_that_is_over_is_said(run: Run, silent: PtyPeer) -> None:
    ended = run("meet", silent.device, "--within", "5", "--patience", "3")
    assert ended.status == 4
    assert "the time for all of it was over before everything was tried, see --within" in ended.error


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (("/dev/ttyNOTHERE",), 4, "/dev/ttyNOTHERE: no such port"),
        (("scpi@/dev/ttyUSB0",), 3, "expected a port alone, such as /dev/ttyUSB0"),
        (("hand",), 3, "expected a port, such as"),
        (("/dev/none", "--frame", "fast"), 3, "--frame: 'fast', expected a rate, data bits, parity and stop bits"),
        (("/dev/none", "--write", "mine.txt"), 3, "expected a name that ends with .toml"),
        (("/dev/none", "--write", "/nowhere/mine.toml"), 3, "no such folder as /nowhere"),
        (("/dev/none", "--patience", "nan"), 3, "--patience"),
    ],
)
def test_what_can_not_be_done_is_one_line(run: Run, arguments: tuple[str, ...], status: int, words: str) -> None:
    ended = run("meet", *arguments)
    assert ended.status == status
    assert words in ended.error
    assert len(ended.error.splitlines()) == 1


def test_a_frame_that_the_port_does_not_offer_is_one_line(run: Run, silent: PtyPeer) -> None:
    ended = run("meet", silent.device, "--frame", "4800 7E1")
    assert ended.status == 3
    assert ended.error.startswith(f"--frame: {silent.device}: 4800 7E1 can't be set")
    assert len(ended.error.splitlines()) == 1


def test_a_busy_port_names_its_holder(run: Run, silent: PtyPeer) -> None:
    with Link(silent.device):
        ended = run("meet", silent.device)
    assert ended.status == 4
    assert f"held by this program itself (process {os.getpid()})" in ended.error


def test_a_cable_that_comes_out_in_the_middle_is_one_line(run: Run, tmp_path: Path) -> None:
    asked = threading.Event()

    def hear(line: bytes) -> bytes:
        asked.set()
        return b""

    with PtyPeer(tmp_path / "tty", hear) as peer:
        puller = threading.Thread(target=lambda: (asked.wait(20.0), peer.kill()))
        puller.start()
        ended = run("meet", peer.device, *BRISK)
        puller.join(20.0)
    assert ended.status == 4
    assert "the line went away" in ended.error.splitlines()[-1]
    assert "Traceback" not in ended.error


def test_control_c_ends_with_130(silent: PtyPeer) -> None:
    meeting = Started("meet", silent.device, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert meeting.stderr is not None
    assert "listening" in meeting.stderr.readline()
    meeting.send_signal(signal.SIGINT)
    _, error = meeting.communicate(timeout=20)
    assert (meeting.returncode, error.splitlines()[-1]) == (130, "interrupted")
    assert "Traceback" not in error
