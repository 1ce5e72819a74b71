"""Each message of the page's table, brought about: what the person is told when that happens."""

from __future__ import annotations

import errno
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from bench.cli.meet_views import nothing_to_write, why_not_met
from drivers.address import Address
from drivers.errors import DriverError
from drivers.line_settings import Flow, LineSettings
from drivers.link import Link
from drivers.met import Met, NotMet, Why
from drivers.meter import Meter
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity
from tests.drivers.thirty.meters import Fault, instead, nothing
from tests.drivers.thirty.peer import SocketMeter
from tests.drivers.thirty.scripted_bench import TIMING, Bench

Happening = Callable[[Bench, pytest.MonkeyPatch], str]
AT: dict[str, Happening] = {}
"""What brings about the message of that row; gives the whole message."""
VOLTS = Quantity.VOLTAGE_AC


def brings(message: str) -> Callable[[Happening], Happening]:
    def keep(happening: Happening) -> Happening:
        AT[message] = happening
        return happening

    return keep


def told(action: Callable[[], object]) -> str:
    with pytest.raises(DriverError) as trouble:
        action()
    return str(trouble.value)


# -- the port


@brings("no such port; is it plugged in?")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return told(Link("/dev/ttyNOTHERE").open)


@brings("can't be used as a serial port")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return told(Link(__file__).open)


@brings("no permission; it belongs to the group")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    device = bench.plug().device

    def denied(path: str, flags: int) -> int:
        raise PermissionError(errno.EACCES, "Permission denied", path)

    patch.setattr("serial.serialposix.os.open", denied)
    said = told(Link(device).open)
    patch.undo()
    return said


@brings("held by")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    device = bench.plug().device
    with Link(device):
        return told(Link(device).open)


@brings("nobody answers there")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    peer = SocketMeter(lambda message: [])
    peer.kill()
    return told(Link(peer.device).open)


@brings("connected, but silent: in use by another program?")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    bench.profile = replace(bench.profile, timing=replace(TIMING, identity_s=0.1, late_s=0.1))
    peer = SocketMeter(lambda message: [])
    try:
        return told(bench.meter_on(peer.device).open)
    finally:
        peer.kill()


@brings("the line went away")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    peer = bench.plug()
    with Link(peer.device, LineSettings()) as link:
        peer.kill()
        return told(lambda: [link.receive(0.1) for _ in range(10)])


@brings("not back yet")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    bench.profile = replace(bench.profile, timing=replace(TIMING, reopen_s=0.2))
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    peer.kill()
    return told(meter.read)


@brings("takes nothing that is sent")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    line = replace(bench.profile.line, flow=Flow.XON_XOFF, write_timeout_s=0.3)
    bench.profile = replace(bench.profile, line=line, timing=replace(TIMING, reopen_s=0.2))
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    peer.say(b"\x13")
    assert peer.wait_sent()
    return told(meter.read)


# -- silent


@brings("no answer to *IDN?")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _at_opening(bench, nothing)


@brings("no answer to READ?")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _in_place_of_a_reading(bench, nothing)


@brings("not responding, 3 times now")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    bench.profile = replace(bench.profile, timing=replace(TIMING, response_s=0.1, late_s=0.1))
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([nothing] * 3)
    return [told(meter.read) for _ in range(3)][-1]


@brings("no answer in")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return why_not_met(NotMet(Why.SILENT, 18), "/dev/ttyUSB0")


@brings("only our own words came back")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return why_not_met(NotMet(Why.ECHOES, 18, echoes="9600 8N1"), "/dev/ttyUSB0")


# -- garbled


@brings("check the line's rate, data bits and parity")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _at_opening(bench, instead((0.0, b"\x9f\x8e\xfa\x13\x80\n")))


@brings("bytes came, but no readable text")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return why_not_met(NotMet(Why.UNREADABLE, 1, heard={"9600 8N1": b"\x9f\x8e"}), "/dev/ttyUSB0")


@brings("set the flow of the line to xon/xoff")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _in_place_of_a_reading(bench, instead((0.0, b"\x13+6.3E+00\x11\n")))


@brings("check the terminator that is received")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _at_opening(bench, instead((0.0, bench.scripted.identity + b"\r")))


@brings("bytes without an end")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _in_place_of_a_reading(bench, instead((0.0, b"7" * 3000)))


# -- out of step


@brings("which is no identity")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _at_opening(bench, instead((0.0, b"6.30\n")))


@brings("lines came where")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _in_place_of_a_reading(bench, instead((0.0, b"+6.3E+00\n+6.4E+00\n")))


@brings("came unasked before")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    meter = bench.on_volts(bench.plug().device)
    receive = meter._line._receive

    def also(timeout_s: float) -> bytes:  # it comes just before each question, however short the time between two
        return receive(timeout_s) + (b"READY\n" if timeout_s == 0.0 else b"")

    patch.setattr(meter._line, "_receive", also)
    return told(meter.read)


@brings("the meter does not stop sending")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    peer.flood(b"x" * 50)
    said = told(meter.read)
    peer.flood(b"")
    return said


@brings("it talks without being asked")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return nothing_to_write(Met(frame=LineSettings(), stream=("0.0012 VDC",)), "/dev/ttyUSB0", ())


@brings("is not a number")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _in_place_of_a_reading(bench, instead((0.0, b"OVLD\n")))


@brings("no form of overload that the profile knows")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return _in_place_of_a_reading(bench, instead((0.0, b"1.0E+9\n")))


@brings("another meter answers there now")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.identity = b"NOBODY,TM6,0043,1.0"
    bench.scripted.line_faults.append(nothing)
    said = told(meter.read)  # found out while getting in step
    assert "no answer" in said
    return said


# -- overload


@brings("overload")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.value = 6000.0
    return str(meter.read().state)


@brings("no value")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([instead((0.0, b"+9.91000000E+37\n"))] * 2)
    return str(meter.read().state)


@brings("is beyond the largest range")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    meter = bench.meter_on(bench.plug().device)
    meter.open()
    return told(lambda: meter.select(VOLTS, 5000.0))


# -- refused


@brings("did not take, the meter says")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.configure = lambda *_: bench.scripted.errors.append(b'-221,"Settings conflict"')  # type: ignore[method-assign]
    return told(lambda: meter.select(Quantity.RESISTANCE))


@brings("was refused")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    blind = {quantity: replace(one, verify=()) for quantity, one in bench.profile.functions.items()}
    bench.profile = replace(bench.profile, functions=blind)
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.configure = lambda *_: bench.scripted.errors.append(b'-222,"Data out of range"')  # type: ignore[method-assign]
    return told(lambda: meter.select(VOLTS, 0.05))


@brings("expected PROFILE@PORT")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return told(lambda: Address.parse("/dev/ttyUSB0"))


@brings("not known; meters there are")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    return told(lambda: load_meter_profile("mine"))


@brings("the profile scpi has no current_dc")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    meter = bench.meter_on(bench.plug().device)
    meter.open()
    return told(lambda: meter.select(Quantity.CURRENT_DC))


@brings("was sent, the recording")
def _(bench: Bench, patch: pytest.MonkeyPatch) -> str:
    log = Path(bench.folder) / "log.jsonl"
    log.write_text('{"t": 0.0, "dir": "out", "text": "FUNC?\\n"}\n')
    return told(lambda: Meter(Link(f"replay://{log}"), bench.profile, "scpi@replay").open())


def _at_opening(bench: Bench, answer: Fault) -> str:
    """The identity query is answered so."""
    bench.profile = replace(bench.profile, timing=replace(TIMING, identity_s=0.1, response_s=0.1, late_s=0.1))
    bench.scripted.answer_faults["*IDN?"] = answer
    return told(bench.meter_on(bench.plug().device).open)


def _in_place_of_a_reading(bench: Bench, answer: Fault) -> str:
    """The next reading is answered so."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(answer)
    return told(meter.read)
