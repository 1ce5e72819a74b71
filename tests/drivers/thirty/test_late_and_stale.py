"""Lines that belong to an earlier query, or to an earlier program: cases 1 to 5."""

from __future__ import annotations

from contextlib import suppress

import pytest

from drivers.errors import NoAnswer, OutOfStep

from .meters import Fault, late
from .scripted_bench import TIMING, Bench

IDENTITY = "NOBODY,TM6,0042,1.0"


@pytest.mark.parametrize("delay", [0.05, 0.25, 0.7])
def test_an_answer_after_the_deadline_is_a_time_out_and_is_swallowed(bench: Bench, delay: float):
    """case 1: while getting in step, before the identity, and after it was asked twice."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(late(TIMING.response_s + delay))
    bench.fails(meter, NoAnswer, r"no answer to READ\? within 0.4 s")
    bench.reads_its_own(meter)


def test_an_answer_later_than_all_tries_is_swallowed_all_the_same(bench: Bench):
    """case 1: the meter hangs for longer than getting in step may take, then answers everything in order."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(late(TIMING.resync_s + 1.0))
    bench.fails(meter, NoAnswer, r"no answer to READ\? .* and then: .*no answer to \*IDN\?")
    with bench.in_time(meter.longest_read_s()):
        for _ in range(6):
            try:
                reading = meter.read()
                break
            except (NoAnswer, OutOfStep):
                continue
    assert bench.is_own(reading)


STALE = b"+6.30000009E+00\n"  # so near to the value that it would pass for it


def test_a_late_answer_glued_in_front_of_the_next_is_not_taken_and_neither_is_the_next(bench: Bench):
    """case 2."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, STALE + answer)])
    bench.fails(meter, OutOfStep, "2 lines came where READ")
    bench.reads_its_own(meter)


@pytest.mark.parametrize("pause", [0.0005, 0.002, 0.01, 0.1])
@pytest.mark.parametrize("where", [0, 1])
def test_a_late_answer_shortly_before_the_next_shifts_no_answer_to_the_next_query(
    bench: Bench, pause: float, where: int
):
    """case 2: it is taken first, and shows at the latest when the selection is proved behind the readings."""
    meter = bench.on_volts(bench.plug().device)
    plain: list[Fault] = [lambda answer: [(0.0, answer)]] * where
    bench.scripted.line_faults.extend([*plain, lambda answer: [(0.0, STALE), (pause, answer)]])
    with bench.in_time(meter.longest_read_s()), suppress(OutOfStep):
        assert bench.is_own(meter.read())
    bench.reads_its_own(meter)


def test_stale_lines_and_a_boot_banner_are_never_the_identity(bench: Bench):
    """case 3: the banner comes when the first message arrives, for a meter that the opening has reset."""
    first = [(0.0, b"+1.000000E+00\n"), (0.0, b"self test passed\n"), (0.05, b"ready\n")]
    bench.scripted.answer_faults[""] = lambda _: first
    meter = bench.meter_on(bench.plug().device)
    with bench.in_time(TIMING.resync_s):
        meter.open()
    assert meter.identity == IDENTITY


def test_a_meter_that_boots_for_longer_than_the_line_is_quiet_is_waited_for(bench: Bench):
    """case 3: what it was told while it booted is lost, the banner comes in the place of the identity."""
    heard = bench.scripted.hear
    told: list[str] = []

    def boots(message: str) -> list[tuple[float, bytes]]:
        told.append(message)
        match len(told):
            case 1:
                return [(0.2, b"boot loader 2\nmeter starts\n")]
            case 2 | 3:
                return []
        return heard(message)

    bench.scripted.hear = boots  # type: ignore[method-assign]
    meter = bench.meter_on(bench.plug().device)
    with bench.in_time(TIMING.resync_s):
        meter.open()
    assert meter.identity == IDENTITY


@pytest.mark.parametrize("half", [b"ODY,TM6,0042,1.0\n", b"ODY,TM6,0042,1.0\r\n", b"+1.2345,", b"NOB"])
def test_half_a_stale_line_before_the_identity_is_no_part_of_it(bench: Bench, half: bytes):
    """case 4: also where it makes a line that the pattern fits, together with the identity or alone."""
    told: list[str] = []

    def with_half(answer: bytes) -> list[tuple[float, bytes]]:
        told.append("*IDN?")
        return [(0.0, half + answer)] if len(told) == 1 else [(0.0, answer)]

    bench.scripted.answer_faults["*IDN?"] = with_half
    meter = bench.meter_on(bench.plug().device)
    with bench.in_time(TIMING.resync_s):
        meter.open()
    assert meter.identity == IDENTITY


@pytest.mark.parametrize("half", [b"CONF:VOLT:D", b"READ?", b"*ID"])
def test_half_a_message_of_an_earlier_program_is_ended_before_anything_is_asked(bench: Bench, half: bytes):
    """case 5: a bare terminator ends it, what it brings is drained, and its error is not blamed on us."""
    peer = bench.plug()
    peer.earlier_program_says(half)
    meter = bench.on_volts(peer.device)
    assert meter.identity == IDENTITY
    assert bench.scripted.heard[0] == half.decode()
    assert bench.scripted.heard[1] == "*IDN?"
    assert meter.check_errors() == ()


def test_half_a_message_of_ours_is_ended_too(bench: Bench):
    """case 5: the line was lost in the middle of a message; the meter kept its half."""
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    peer.earlier_program_says(b"CONF:VOLT:DC 1")
    bench.fails(meter, NoAnswer, "no answer.*-104 Data type error")
    bench.reads_its_own(meter)
    assert bench.scripted.function == "VOLT:AC"
