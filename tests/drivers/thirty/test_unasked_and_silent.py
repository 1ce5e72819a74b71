"""Answers that come twice, lines that nobody asked for, and silence: cases 13 to 18."""

from __future__ import annotations

from contextlib import suppress

import pytest

from drivers.errors import MeterError, NoAnswer, OutOfStep
from drivers.meter_state import MeterState

from .meters import Chunks, instead, nothing
from .scripted_bench import Bench


def test_the_same_answer_twice_at_once_counts_once(bench: Bench, caplog: pytest.LogCaptureFixture):
    """case 13."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer + answer)])
    bench.reads_its_own(meter)
    assert "was answered 2 times over" in caplog.text
    bench.reads_its_own(meter)


@pytest.mark.parametrize("pause", [0.0005, 0.005, 0.05])
@pytest.mark.parametrize("cut", [0, 7])
def test_the_second_of_two_is_dropped_before_the_next_query_or_shows_there(bench: Bench, pause: float, cut: int):
    """case 13: whole, or cut by the end of what was read at once."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer + answer[:cut]), (pause, answer[cut:])])
    with bench.in_time(meter.longest_read_s()), suppress(OutOfStep):
        assert bench.is_own(meter.read())
    bench.reads_its_own(meter)


def test_a_repeat_that_waits_on_the_line_is_dropped_and_logged(bench: Bench, caplog: pytest.LogCaptureFixture):
    """case 13: between two readings."""
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    asked = len(bench.scripted.heard)
    peer.say(b'"VOLT:AC 1.000000E+01"\n')  # what was answered last
    assert peer.wait_sent()
    bench.reads_its_own(meter)
    assert "dropped a repeated answer" in caplog.text
    assert bench.scripted.heard[asked:] == ["READ?", "READ?", "CONF?"]


@pytest.mark.parametrize("line", [b"READY\n", b"battery low\n", b"*\n"])
def test_an_unsolicited_line_in_the_place_of_a_reading_is_an_error(bench: Bench, line: bytes):
    """case 14: together with the answer, and before it."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, line + answer)])
    bench.fails(meter, OutOfStep, line.decode().strip().replace("*", r"\*"))
    bench.scripted.line_faults.append(lambda answer: [(0.0, line), (0.1, answer)])
    bench.fails(meter, OutOfStep, "is not a number")
    bench.reads_its_own(meter)


def test_an_unsolicited_line_before_the_query_is_dropped_and_the_reading_begun_again(bench: Bench):
    """case 14: also where it is a number."""
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    for line in (b"auto power off\n", b"+6.30000001E+00\n"):
        peer.say(line)
        assert peer.wait_sent()
        asked = len(bench.scripted.heard)
        bench.reads_its_own(meter)
        assert "*IDN?" in bench.scripted.heard[asked:]


@pytest.mark.parametrize("empty", [b"\n", b"\r\n", b"\n\n\r\n", b"  \n"])
def test_empty_lines_before_the_answer_are_skipped(bench: Bench, empty: bytes):
    """case 15: together with it, and before it."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, empty + answer)])
    bench.scripted.line_faults.append(lambda answer: [(0.0, empty), (0.05, answer)])
    asked = len(bench.scripted.heard)
    bench.reads_its_own(meter)
    assert "*IDN?" not in bench.scripted.heard[asked:]


def test_silence_is_a_time_out_in_bounded_time(bench: Bench):
    """case 16: a query that the meter has overlooked."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(nothing)
    said = bench.fails(meter, NoAnswer, r"no answer to READ\? within 0.4 s")
    assert "the meter says" not in said
    assert meter.state is MeterState.IN_STEP
    bench.reads_its_own(meter)


def test_silence_to_everything_is_a_time_out_in_bounded_time(bench: Bench):
    """case 16: getting in step fails too, and is tried again by the next reading."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.mute = True
    bench.fails(meter, NoAnswer, r"no answer to READ\? .* and then: .*no answer to \*IDN\?")
    assert meter.state is MeterState.OUT_OF_STEP
    bench.scripted.mute = False
    bench.reads_its_own(meter)


def test_silence_with_an_error_queued_carries_its_text(bench: Bench):
    """case 17: the trigger was left on the bus by the last user."""
    meter = bench.on_volts(bench.plug().device)

    def deadlocked(_: bytes) -> Chunks:
        bench.scripted.errors.append(b'-214,"Trigger deadlock"')
        bench.scripted.errors.append(b'703,"Device text; with, ""quotes"""')
        return []

    bench.scripted.line_faults.append(deadlocked)
    bench.fails(meter, NoAnswer, "no answer to READ.*the meter says: -214 Trigger deadlock; 703 Device text; with")
    bench.reads_its_own(meter)


@pytest.mark.parametrize("answer", [b'-221,"Settings conflict"\n', b"-221, Settings conflict\n", b'+0,"No error"\n'])
def test_an_error_in_the_place_of_a_number_is_never_volts(bench: Bench, answer: bytes):
    """case 18: it may be the answer to another query, so the meter is brought in step first."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(instead((0.0, answer)))
    asked = len(bench.scripted.heard)
    bench.fails(meter, MeterError, r"READ\? was answered with the error (-221 Settings conflict|0 No error)")
    bench.reads_its_own(meter)
    assert "*IDN?" in bench.scripted.heard[asked:]


@pytest.mark.parametrize("word", [b"ERROR\n", b"no error\n", b"nan\n", b"infinity\n", b"1_0\n", b"0x1F\n", b"+6.3.0\n"])
def test_a_word_in_the_place_of_a_number_is_named(bench: Bench, word: bytes):
    """case 18: also words that a language takes for a number."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(instead((0.0, word)))
    bench.fails(meter, OutOfStep, f"'{word.decode().strip()}' is not a number".replace("+", r"\+"))
    bench.reads_its_own(meter)


def test_the_deadline_of_a_whole_reading_follows_from_the_profile(bench: Bench):
    """case 16: 1 thrown away, at most 10 until it settles, 1 sample, 1 proof, each within 0.4 s; all
    of it twice, and twice to find a lost line (3 s, and its connect and write time-outs) and to get in step (3 s)."""
    meter = bench.on_volts(bench.plug().device)
    line = bench.profile.line
    once, recovery = 13 * 0.4, 3.0 + line.connect_timeout_s + line.write_timeout_s + 3.0
    assert meter.longest_read_s() == pytest.approx(2 * (once + recovery))


def test_a_meter_that_is_slow_with_everything_ends_by_the_deadline_too(bench: Bench):
    """case 16: every answer takes almost its whole time, and no two agree."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend(
        [lambda answer, turn=turn: [(0.2, answer.replace(b"6.3", b"%d.3" % (turn % 5 + 4)))] for turn in range(10)]
    )
    with bench.in_time(meter.longest_read_s()):
        reading = meter.read()
    assert len(reading.raw.split(";")) == 5  # it never settled: the scatter of the last is in its doubt
    bench.reads_its_own(meter)
