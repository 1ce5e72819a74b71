"""SCPI engines that nobody here wrote, each driven by a profile that comes along, and by nothing else.

One over a pseudo-terminal: the engine of pyvisa-sim (MIT), which matches whole messages. One over a socket: the server
of scpipy (MIT), which has a parser with short and long forms, and the status system of SCPI-99.
"""

from __future__ import annotations

import contextlib
import importlib.util
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from drivers.errors import MeterError, NoAnswer
from drivers.finding_dialect import DialectSearch
from drivers.finding_frame import Patience
from drivers.frames import FRAMES
from drivers.link import Link
from drivers.meeting import meet
from drivers.met import Met
from drivers.meter import Meter
from drivers.meter_profile import MeterProfile
from drivers.nearest_profile import nearest
from drivers.profile_files import load_meter_profile, profile_names
from drivers.reading import Quantity, State

from .pty_peer import PtyPeer

HERE = Path(__file__).parent
V, DC, R, HZ = Quantity.VOLTAGE_AC, Quantity.VOLTAGE_DC, Quantity.RESISTANCE, Quantity.FREQUENCY


def needs(module: str) -> pytest.MarkDecorator:
    there = importlib.util.find_spec(module) is not None
    return pytest.mark.skipif(not there, reason=f"no {module} here: its SCPI engine was NOT run against the profiles")


@dataclass(frozen=True)
class Counterpart:
    """A meter of another make at `port`; `shows` sets what it reads next. unknown: how its queue names a header that
    it does not know; too_large: a range that it has not, and what it says of it."""

    port: str
    profile: str
    identity: str
    shows: Callable[[str], None]
    unknown: str
    too_large: tuple[float, str]


@contextlib.contextmanager
def on_pyvisa_sim(tmp_path: Path) -> Iterator[Counterpart]:
    from pyvisa_sim.parser import get_devices

    device: Any = get_devices(HERE / "counterparts/simulated_device.yaml", False)["ASRL1::INSTR"]

    def hear(message: bytes) -> bytes:
        device.write(message + b"\n")
        said = b""
        while piece := device.read()[0]:
            said += piece
        return said

    with PtyPeer(tmp_path / "tty", hear) as peer:
        yield Counterpart(
            port=peer.device,
            profile="scpi-func-quoted",
            identity="NOBODY,SIM5,4711,0.7",
            shows=lambda reading: device.write(f"SIM:READ {reading}\n".encode()),
            unknown="-113 Undefined header",
            too_large=(300.0, "-113 Undefined header"),  # this engine has one word for all that it does not take
        )


@contextlib.contextmanager
def on_scpipy(tmp_path: Path) -> Iterator[Counterpart]:
    with socket.create_server(("127.0.0.1", 0)) as free:
        number = free.getsockname()[1]
    command = [sys.executable, "-m", "tests.drivers.counterparts.served_device", str(number)]
    process = subprocess.Popen(command, cwd=HERE.parents[1])
    try:
        connect(number).close()
        yield Counterpart(
            port=f"socket://127.0.0.1:{number}",
            profile="scpi",
            identity="NOBODY,SERVED4,0815,1.5",
            shows=lambda reading: say(number, f"SIM:READ {reading}\n*IDN?\n"),
            unknown="-110 Command header error",
            too_large=(750.0, "-222 Data out of range"),
        )
    finally:
        process.terminate()
        process.wait(10.0)


def connect(number: int) -> socket.socket:
    """A connection to the server, which takes a moment to come up."""
    give_up = time.monotonic() + 20.0
    while True:
        try:
            return socket.create_connection(("127.0.0.1", number), timeout=5.0)
        except ConnectionRefusedError:
            if time.monotonic() > give_up:
                raise
            time.sleep(0.02)


def say(number: int, text: str) -> None:
    """Over a connection of its own; the answer to the last question says that all before it was taken."""
    with connect(number) as line:
        line.sendall(text.encode())
        line.recv(100)


@pytest.fixture(
    params=[
        pytest.param(on_pyvisa_sim, id="pyvisa-sim", marks=needs("pyvisa_sim")),
        pytest.param(on_scpipy, id="scpipy", marks=needs("scpipy")),
    ]
)
def counterpart(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Counterpart]:
    with request.param(tmp_path) as found:
        yield found


def brisk(name: str) -> MeterProfile:
    """The profile that comes along, with waits for an engine that answers at once or never."""
    profile = load_meter_profile(name)
    timing = replace(profile.timing, response_s=1.0, identity_s=1.0, late_s=0.2, quiet_s=0.03, gap_s=0.0)
    return replace(profile, timing=timing)


@contextlib.contextmanager
def talking(counterpart: Counterpart, profile: MeterProfile | None = None) -> Iterator[Meter]:
    profile = profile or brisk(counterpart.profile)
    link = Link(counterpart.port, profile.line)
    with Meter(link, profile, f"{profile.name}@{counterpart.port}", sleep=lambda _: None) as meter:
        yield meter


def test_it_is_identified_selected_verified_and_read(counterpart: Counterpart):
    with talking(counterpart) as meter:
        assert meter.identity == counterpart.identity
        meter.select(V, 6.0)
        reading = meter.read()
        assert (reading.value, reading.span, reading.state) == (6.3, 10.0, State.GOOD)
        counterpart.shows("-1.250000E+00")
        meter.select(DC, 1.25)
        assert meter.read().value == -1.25
        counterpart.shows("+8.450000E+01")
        meter.select(R, 84.0)
        assert meter.read().value == 84.5
        assert meter.check_errors() == ()


def test_over_range_is_a_state_and_the_next_reading_a_number(counterpart: Counterpart):
    with talking(counterpart) as meter:
        meter.select(V, 6.0)
        counterpart.shows("+9.90000000E+37")
        assert (meter.read().state, meter.read().value) == (State.OVERLOAD, None)
        counterpart.shows("+6.400000E+00")
        assert meter.read().value == 6.4


def test_a_range_that_it_has_not_is_refused_in_its_own_words(counterpart: Counterpart):
    expected, words = counterpart.too_large
    with talking(counterpart) as meter:
        with pytest.raises(MeterError, match=words):
            meter.select(V, expected)
        meter.select(V, 6.0)
        assert (meter.read().value, meter.check_errors()) == (6.3, ())


def test_a_header_that_it_does_not_know_is_told_and_got_over(counterpart: Counterpart):
    """The command for a function that it lacks, where the profile has one; else a message of the set-up."""
    profile = brisk(counterpart.profile)
    stranger = replace(profile.functions[R], quantity=HZ, select=("CONF:PHAS",), read="READ?")
    with talking(counterpart, replace(profile, functions={**profile.functions, HZ: stranger})) as meter:
        meter.select(V, 6.0)
        with pytest.raises(MeterError, match=counterpart.unknown):
            meter.select(HZ)
        meter.select(V, 6.0)
        assert (meter.read().value, meter.check_errors()) == (6.3, ())


def test_a_question_that_it_does_not_know_times_out_with_its_reason_and_the_next_reading_is_right(
    counterpart: Counterpart,
):
    profile = brisk(counterpart.profile)
    deaf = replace(profile.functions[DC], read="PHAS?")
    with talking(counterpart, replace(profile, functions={**profile.functions, DC: deaf})) as meter:
        meter.select(DC, 1.0)
        with pytest.raises(NoAnswer, match=f"no answer to PHAS.*the meter says: .*{counterpart.unknown}"):
            meter.read()
        meter.select(V, 6.0)
        assert (meter.read().value, meter.check_errors()) == (6.3, ())


def test_an_unknown_header_in_the_set_up_does_not_keep_it_from_reading(counterpart: Counterpart):
    profile = brisk(counterpart.profile)
    with talking(counterpart, replace(profile, setup=(*profile.setup, "CALC:PHAS OFF"))) as meter:
        meter.select(V, 6.0)
        assert (meter.read().value, meter.check_errors()) == (6.3, ())


def test_it_is_met_as_what_it_is(counterpart: Counterpart):
    known = [load_meter_profile(name) for name in profile_names("meters")]
    patience = Patience(answer_s=0.3, quiet_s=0.06, listen_s=0.3)
    with Link(counterpart.port) as link:
        frames = FRAMES[:1] if "://" in counterpart.port else FRAMES[:4]
        found = meet(link, DialectSearch(time.monotonic(), frames=frames, known=known, patience=patience))
    assert isinstance(found, Met)
    assert (found.identity, found.error_query, found.no_error) == (counterpart.identity, "SYST:ERR?", '0,"No error"')
    near = nearest(found, known)
    assert near is not None
    assert (near.profile.name, near.proved) == (counterpart.profile, True)
