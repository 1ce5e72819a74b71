"""The meter starts anew, the line goes away, something else comes back: cases 23 to 25."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from drivers.errors import LinkLost, MeterError, NoAnswer, OutOfStep, Unreadable
from drivers.meter_state import MeterState
from drivers.ports import PortInfo
from drivers.same_device import SameDevice

from .meters import Chunks, UniqueMeter
from .peer import SocketMeter
from .scripted_bench import Bench


def rebooting(bench: Bench, banner: bytes, silent_for: int) -> Callable[[bytes], Chunks]:
    """READ? makes the meter start anew: it says `banner`, and does not hear the next messages."""
    scripted = bench.scripted
    heard = scripted.hear

    def reboot(_: bytes) -> Chunks:
        scripted.power_on()
        missed: list[str] = []

        def deaf(message: str) -> Chunks:
            if len(missed) < silent_for:
                missed.append(message)
                return []
            return heard(message)

        scripted.hear = deaf  # type: ignore[method-assign]
        return [(0.0, banner)] if banner else []

    return reboot


@pytest.mark.parametrize("banner", [b"", b"boot 2.1\n", b"boot 2.1\nself test passed\n", b"\0\xff"])
@pytest.mark.parametrize("silent_for", [0, 3])
def test_a_meter_that_reboots_instead_of_answering_is_set_and_verified_again(
    bench: Bench, banner: bytes, silent_for: int
):
    """case 23: the reading fails, the next is right; function, range and remote are what they were."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(rebooting(bench, banner, silent_for))
    with bench.in_time(meter.longest_read_s()), pytest.raises((NoAnswer, OutOfStep, Unreadable)):
        meter.read()
    bench.reads_its_own(meter)
    assert (bench.scripted.function, bench.scripted.range, bench.scripted.remote) == ("VOLT:AC", 10.0, True)


@pytest.mark.parametrize("where", [0, 1])
def test_a_reboot_so_quick_that_the_meter_answers_all_the_same_does_not_count_a_value(bench: Bench, where: int):
    """case 23: the values are those of another function; the proof behind them shows it, and they are read again."""
    meter = bench.on_volts(bench.plug().device)

    def reboots_and_answers(answer: bytes) -> Chunks:
        bench.scripted.power_on()
        return [(0.0, answer)]

    bench.scripted.line_faults.extend([lambda answer: [(0.0, answer)]] * where)
    bench.scripted.line_faults.append(reboots_and_answers)
    asked = len(bench.scripted.heard)
    bench.reads_its_own(meter)
    assert bench.scripted.heard[asked:].count("CONF:VOLT:AC 10") == 1
    assert (bench.scripted.function, bench.scripted.range, bench.scripted.remote) == ("VOLT:AC", 10.0, True)


def test_a_meter_that_reboots_each_time_it_measures_is_an_error(bench: Bench):
    """case 23: it does not stay in the function, and nothing of it counts."""
    meter = bench.on_volts(bench.plug().device)

    def reboots_and_answers(answer: bytes) -> Chunks:
        bench.scripted.power_on()
        return [(0.0, answer)]

    bench.scripted.line_faults.extend([reboots_and_answers] * 5)
    with bench.in_time(meter.longest_read_s()), pytest.raises(MeterError, match="does not stay in the selected"):
        meter.read()
    bench.scripted.line_faults.clear()
    bench.reads_its_own(meter)


@pytest.mark.parametrize("cut", [0, 7, 15])
def test_a_line_that_closes_in_the_middle_of_an_answer_is_found_again_and_the_reading_repeated(bench: Bench, cut: int):
    """case 24: after the full opening, since the meter may have been without power."""
    first = bench.plug()
    meter = bench.on_volts(first.device)

    def closes(answer: bytes) -> Chunks:
        first.hang_up()
        bench.scripted.power_on()
        return [(0.0, answer[:cut])] if cut else []

    bench.scripted.line_faults.append(closes)

    def replug() -> None:
        first.kill()
        bench.plug()

    with bench.when_ended(first, replug):
        bench.reads_its_own(meter)
    assert meter.state is MeterState.IN_STEP
    assert bench.scripted.remote


def test_a_line_that_closes_while_idle_is_found_again(bench: Bench):
    """case 24."""
    first = bench.plug()
    meter = bench.on_volts(first.device)
    first.kill()
    bench.scripted.power_on()
    bench.plug()
    bench.reads_its_own(meter)


def test_a_line_that_stays_away_is_a_state_and_is_looked_for_by_every_reading(bench: Bench):
    """case 24: with pauses that grow, each reading by the deadline, until it is back."""
    bench.profile = replace(bench.profile, timing=replace(bench.profile.timing, reopen_s=0.4))
    first = bench.plug()
    meter = bench.on_volts(first.device)
    first.kill_and_unplug()
    for _ in range(3):
        with bench.in_time(1.0), pytest.raises(LinkLost, match=r"not back yet.*|no such port"):
            meter.read()
        assert meter.state is MeterState.DISCONNECTED
    bench.plug()
    with bench.in_time(6 * meter.longest_read_s()):
        while True:
            try:
                reading = meter.read()
                break
            except LinkLost:
                continue
    assert bench.is_own(reading)
    assert meter.state is MeterState.IN_STEP


def test_a_network_connection_that_closes_in_the_middle_of_an_answer_is_made_again(bench: Bench):
    """case 24: by a socket."""
    peer = SocketMeter(lambda message: bench.scripted.hear(message))
    try:
        meter = bench.on_volts(peer.device)

        def closes(answer: bytes) -> Chunks:
            peer.close_after(answer[:9])
            bench.scripted.power_on()
            return []

        bench.scripted.line_faults.append(closes)
        bench.reads_its_own(meter)
        assert bench.scripted.remote
        meter.close()
        assert meter.state is MeterState.CLOSED
    finally:
        peer.kill()


def test_the_same_meter_under_another_port_name_is_read_on(bench: Bench):
    """case 25: the adapter came back as another device."""
    first = bench.plug()
    meter = bench.on_volts(first.device)
    first.kill_and_unplug()
    bench.scripted.power_on()
    second = bench.plug("elsewhere")
    bench.elsewhere.append(second.device)
    reading = bench.reads_its_own(meter)
    assert reading.instrument == meter.address  # as before: its readings still share their errors


def port(device: str, serial: str) -> PortInfo:
    return PortInfo(device, None, "adapter", "1209:0001", serial, True, None, None)


def test_the_other_name_is_that_of_the_adapter_with_the_same_serial_number(bench: Bench):
    """case 25: and not that of another adapter, though a meter answers there."""
    first = bench.plug()
    there = [port(first.device, "A1")]
    looks_for = SameDevice(first.device, lambda: there)
    meter = bench.on_volts(first.device)
    first.kill_and_unplug()
    stranger, again = bench.plug("stranger", UniqueMeter(b"NOBODY,TM6,0099,1.0")), bench.plug("again")
    bench.scripted = UniqueMeter()
    again_scripted = bench.scripted
    again.answers_with(again_scripted.hear)
    there[:] = [port(stranger.device, "B2"), port(again.device, "A1")]
    bench.elsewhere[:] = looks_for()
    assert bench.elsewhere == [again.device]
    bench.reads_its_own(meter)


def test_another_meter_on_the_port_stops_the_work_until_the_right_one_is_back(bench: Bench):
    """case 25: both are named; nothing of the other is read."""
    first = bench.plug()
    meter = bench.on_volts(first.device)
    ours = bench.scripted
    first.kill()
    other = UniqueMeter(b"NOBODY,TM6,0043,1.0")
    second = bench.plug(scripted=other)
    for _ in range(2):
        with (
            bench.in_time(meter.longest_read_s()),
            pytest.raises(MeterError, match=r"another meter answers there now, .*0043.* in the place of .*0042"),
        ):
            meter.read()
    assert other.given == []
    assert "SYST:REM" not in other.heard
    second.kill()
    bench.plug(scripted=ours)
    bench.reads_its_own(meter)


def test_another_meter_is_taken_when_it_is_opened_as_such(bench: Bench, tmp_path: Path):
    """case 25: whoever was asked, and wants it, opens it anew."""
    first = bench.plug()
    bench.on_volts(first.device).close()
    first.kill()
    second = bench.plug(scripted=UniqueMeter(b"NOBODY,TM6,0043,1.0"))
    assert bench.on_volts(second.device).identity == "NOBODY,TM6,0043,1.0"
