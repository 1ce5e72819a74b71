"""Unknown meters met at real pseudo-terminals, and read with the profile that was written of them."""

from __future__ import annotations

import socket
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from drivers.errors import LinkLost, Unsupported
from drivers.finding_dialect import DialectSearch
from drivers.finding_frame import Patience
from drivers.first_profile import first_profile
from drivers.frames import FRAMES, frame_from
from drivers.link import Link
from drivers.meeting import meet
from drivers.met import Met, NotMet, Why
from drivers.meter import Meter
from drivers.meter_profile import Response
from drivers.nearest_profile import nearest
from drivers.profile_files import load_meter_profile, meter_profile_table, profile_names
from drivers.reading import Quantity

from .meter_at_port import MeterAtPort, plugging
from .pty_peer import PtyPeer
from .unknown_meter import PLAIN, UnknownMeter

KNOWN = [load_meter_profile(name) for name in profile_names("meters")]
BRISK = Patience(answer_s=0.12, quiet_s=0.06, listen_s=0.4)
HASTY = Patience(answer_s=0.02, quiet_s=0.02, listen_s=0.1)  # where nothing is to come
AtPort = Callable[[UnknownMeter], MeterAtPort]


class ConfMeter(UnknownMeter):
    """Takes CONF:... without a range, and tells it by CONF?."""

    def _reply(self, raw: bytes) -> bytes:
        text = raw.decode("latin-1").strip()
        if text.startswith("CONF:"):
            self.heard.append(text)
            self.answers = {**self.answers, "CONF?": f'"{text[5:]} 1.000000E+01,1.000000E-05"'}
            return (raw + self.ends if self.echo else b"") + self.prompt
        return super()._reply(raw)


@pytest.fixture
def at_port(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[AtPort]:
    with plugging(tmp_path, monkeypatch) as plug:
        yield plug


def meet_at(port: str, patience: Patience = BRISK) -> Met | NotMet:
    with Link(port) as link:
        return meet(link, DialectSearch(time.monotonic(), known=KNOWN, patience=patience))


def test_a_plain_meter_is_met_and_read_with_its_own_profile(at_port: AtPort, tmp_path: Path):
    meter = ConfMeter(answers=PLAIN | {"READ?": "+1.23450000E+00"})
    device = at_port(meter).device
    found = meet_at(device)
    assert isinstance(found, Met)
    assert (str(found.frame), found.identity) == ("9600 8N1", PLAIN["*IDN?"])
    asked = list(meter.heard)
    profile = written(found, tmp_path / "mine.toml")
    with Meter(Link(device, profile.line), profile, f"mine@{device}", sleep=lambda _: None) as instrument:
        instrument.select(Quantity.VOLTAGE_DC, 1.0)
        reading = instrument.read()
    assert reading.value == pytest.approx(1.2345)
    assert reading.standard_uncertainty > 0.005
    assert all(message.endswith("?") for message in asked)


def written(found: Met, file: Path):
    near = nearest(found, KNOWN)
    assert near is not None
    file.write_text(first_profile(found, near, meter_profile_table(near.profile.name), file.stem))
    return load_meter_profile(str(file))


def test_a_meter_at_4800_7e1_is_met_there(at_port: AtPort, tmp_path: Path):
    found = meet_at(at_port(UnknownMeter(frame=frame_from("4800 7E1"))).device)
    assert isinstance(found, Met)
    assert (str(found.frame), found.identity) == ("4800 7E1", PLAIN["*IDN?"])
    assert str(written(found, tmp_path / "mine.toml").line) == "4800 7E1"


def test_a_meter_with_echo_and_prompt_is_met_and_read(at_port: AtPort, tmp_path: Path):
    meter = ConfMeter(
        answers=PLAIN | {"READ?": "+1.23450000E+00"},
        echo=True,
        prompt=b"=>\r\n",
        error_prompt=b"?>\r\n",
        error_queue="",
        frame=frame_from("19200 8N1"),
    )
    device = at_port(meter).device
    found = meet_at(device)
    assert isinstance(found, Met)
    assert (found.echo, found.prompts) == (True, ("=>", "?>"))
    profile = written(found, tmp_path / "mine.toml")
    assert (profile.manners.echo, profile.manners.prompt, profile.manners.command_error) == (True, b"=>", b"?>")
    with Meter(Link(device, profile.line), profile, f"mine@{device}", sleep=lambda _: None) as instrument:
        instrument.select(Quantity.VOLTAGE_DC, 1.0)
        assert instrument.read().value == pytest.approx(1.2345)


def test_a_meter_without_an_identity_is_met_by_its_probe(at_port: AtPort, tmp_path: Path):
    meter = UnknownMeter(answers={"FUNC1?": "02", "VAL1?": " 5.0032 VAC"}, error_queue="", ends=b"\r")
    found = meet_at(at_port(meter).device)
    assert isinstance(found, Met)
    assert (found.identity, found.probe, found.answers["VAL1?"]) == (None, "FUNC1?", "5.0032 VAC")
    profile = written(found, tmp_path / "mine.toml")
    assert (profile.identity_query, profile.identity_is_probe, profile.terminator_received) == ("FUNC1?", True, b"\r")


def test_a_meter_that_only_talks_is_heard(at_port: AtPort):
    found = meet_at(at_port(UnknownMeter(answers={}, error_queue="", stream=b"0.0012 VDC\r\n", stream_s=0.1)).device)
    assert isinstance(found, Met)
    assert (found.stream[0], found.answers) == ("0.0012 VDC", {})


def test_a_silent_meter_is_called_silent_and_frames_that_the_port_refuses_are_told(peers: Callable[..., PtyPeer]):
    found = meet_at(peers().device, HASTY)
    assert isinstance(found, NotMet)
    assert found.why is Why.SILENT
    # A pseudo-terminal takes eight bits without parity only.
    assert (found.tried, len(found.refused)) == (18, 19)


def test_a_cable_that_comes_out_in_the_middle_is_a_lost_line(at_port: AtPort):
    plugged = at_port(UnknownMeter())
    steps: list[str] = []

    def progress(words: str) -> None:
        steps.append(words)
        if len(steps) == 5:
            plugged.unplug()

    with Link(plugged.device) as link, pytest.raises(LinkLost, match="went away"):
        meet(link, DialectSearch(time.monotonic(), known=KNOWN, patience=BRISK), progress=progress)


def test_a_refused_frame_leaves_the_port_as_it_was(peers: Callable[..., PtyPeer]):
    peer = peers(hear=lambda line: line + b"\n")
    with Link(peer.device) as link:
        with pytest.raises(Unsupported, match="4800 7E1 can't be set"):
            link.retune(frame_from("4800 7E1"))
        link.retune(FRAMES[1])
        link.send(b"still there\n")
        assert link.receive(2.0) == b"still there\n"
        assert link.settings == FRAMES[1]


def test_a_socket_has_no_frame_to_set():
    server = socket.create_server(("127.0.0.1", 0))
    with server, Link(f"socket://127.0.0.1:{server.getsockname()[1]}") as link:
        link.retune(frame_from("4800 7E1"))
        assert link.is_open


def test_a_profile_to_start_from_is_cautious_and_says_so(at_port: AtPort, tmp_path: Path):
    found = meet_at(at_port(UnknownMeter()).device)
    assert isinstance(found, Met)
    profile = written(found, tmp_path / "mine.toml")
    text = (tmp_path / "mine.toml").read_text()
    assert "put your meter's own figures here" in text
    assert "#   *IDN? -> NOBODY,TM6,0042,1.0" in text
    assert "was NOT tried" in text
    volts = profile.functions[Quantity.VOLTAGE_AC]
    assert volts.response is Response.MEAN
    assert all(each.accuracy.percent_of_reading >= 1.0 and each.accuracy.counts >= 3.0 for each in volts.ranges)
    assert Quantity.CURRENT_AC not in profile.functions  # it did not answer for its range
    assert volts.ranges_itself
