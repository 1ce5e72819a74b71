"""Answers in other forms than the profile says, and lines that come with them: cases 19 to 22."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drivers.errors import DriverError, NoAnswer, OutOfStep, Unreadable
from drivers.line_settings import Flow
from drivers.reading import State
from drivers.scpi import AnswerForms

from .meters import Chunks, instead
from .scripted_bench import TIMING, Bench

OVERLOADS = [b"+9.90000000E+37\n", b"-9.9E37\n", b"9.9E+37\n", b"1E9\n", b"1.2E8\n", b"OVLD\n", b" OL \n", b"O.L\n"]


@pytest.mark.parametrize("answer", OVERLOADS)
def test_over_range_in_any_form_is_a_state_and_never_a_number(bench: Bench, answer: bytes):
    """case 19: the forms that the profile declares."""
    forms = AnswerForms(overload_values=(9.9e37, 1e9, 1.2e8), overload_words=("OVLD", "OL", "O.L"))
    bench.profile = replace(bench.profile, forms=forms)
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([instead((0.0, answer))] * 2)
    with bench.in_time(meter.longest_read_s()):
        reading = meter.read()
    assert (reading.state, reading.value, reading.components) == (State.OVERLOAD, None, ())
    bench.reads_its_own(meter)


@pytest.mark.parametrize("answer", [b"1E9\n", b"-1.2E8\n", b"7501.0\n"])
def test_a_number_for_over_range_that_the_profile_does_not_know_is_no_reading(bench: Bench, answer: bytes):
    """case 19: however often it comes; a profile may be of the nearest dialect only."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([instead((0.0, answer))] * 3)
    bench.fails(meter, OutOfStep, r"far beyond the largest range, 750 V, and no form of overload that the profile")
    bench.scripted.line_faults.clear()
    bench.reads_its_own(meter)


def test_over_range_among_samples_is_not_averaged(bench: Bench):
    """case 19."""
    meter = bench.on_volts(bench.plug().device)
    plain = lambda answer: [(0.0, answer)]  # noqa: E731
    bench.scripted.line_faults.extend([plain, plain, plain, instead((0.0, b"+9.90000000E+37\n")), plain])
    reading = meter.read(samples=4)
    assert (reading.state, reading.value) == (State.OVERLOAD, None)
    bench.reads_its_own(meter)


def test_no_value_is_a_state_of_its_own(bench: Bench):
    """case 19: 9.91E37 differs from infinity by a thousandth."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([instead((0.0, b"9.91E37\n"))] * 2)
    assert meter.read().state is State.NO_VALUE
    bench.reads_its_own(meter)


@pytest.mark.parametrize("answer", [b"OVLD\n", b"8.8E37\n", b"inf\n"])
def test_a_form_of_over_range_that_is_not_declared_is_an_error(bench: Bench, answer: bytes):
    """case 19."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(instead((0.0, answer)))
    bench.fails(meter, OutOfStep, "is not a number|beyond any meter")
    bench.reads_its_own(meter)


@pytest.mark.parametrize(
    "answer", [b"+6.3 VAC\n", b"6.30,V\n", b"+6.3,+6.4\n", b"6,30\n", b"6.30000 1\n", b"+6.3E+00,12.5,17\n", b">6.3\n"]
)
def test_a_unit_a_list_and_a_decimal_comma_are_errors_where_they_are_not_declared(bench: Bench, answer: bytes):
    """case 20."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(instead((0.0, answer)))
    bench.fails(meter, OutOfStep, "is not a number")
    bench.reads_its_own(meter)


def ending_in(bench: Bench, end: bytes) -> None:
    """Every answer of the scripted meter ends so from now on."""
    heard = bench.scripted.hear

    def hear(message: str) -> Chunks:
        return [(delay, chunk.replace(b"\n", end)) for delay, chunk in heard(message)]

    bench.scripted.hear = hear  # type: ignore[method-assign]


ENDS = {b"\r": "CR", b"\n\r": "LF CR", b"\r\n\0": "CR LF NUL", b"\r\n": "CR LF"}


@pytest.mark.parametrize("end", ENDS, ids=ENDS.values())
def test_another_terminator_is_read_where_the_profile_has_it(bench: Bench, end: bytes):
    """case 21."""
    bench.profile = replace(bench.profile, terminator_received=end)
    ending_in(bench, end)
    meter = bench.on_volts(bench.plug().device)
    asked = len(bench.scripted.heard)
    bench.reads_its_own(meter)
    assert bench.scripted.heard[asked:] == ["READ?", "READ?", "CONF?"]


@pytest.mark.parametrize("end", [b"\r", b"\r\n"])
def test_a_meter_that_obeys_one_terminator_only_gets_that(bench: Bench, end: bytes):
    """case 21: the other way."""
    bench.profile = replace(bench.profile, terminator_sent=end)
    meter = bench.on_volts(bench.plug(ends=end).device)
    bench.reads_its_own(meter)


@pytest.mark.parametrize(("end", "kind"), [(b"\r", NoAnswer), (b"\r\n\0", Unreadable)], ids=["CR", "CR LF NUL"])
def test_another_terminator_than_the_profile_has_is_a_clean_failure_that_names_it(
    bench: Bench, end: bytes, kind: type[DriverError]
):
    """case 21."""
    ending_in(bench, end)
    meter = bench.meter_on(bench.plug().device)
    with bench.in_time(TIMING.resync_s), pytest.raises(kind, match="check the terminator that is received"):
        meter.open()


@pytest.mark.parametrize("end", [b"\r\n", b"\n\r"], ids=["CR LF", "LF CR"])
def test_a_cr_on_either_side_of_the_lf_is_no_part_of_an_answer(bench: Bench, end: bytes):
    """case 21: by default."""
    ending_in(bench, end)
    meter = bench.on_volts(bench.plug().device)
    for _ in range(3):
        bench.reads_its_own(meter)


def dripping(answer: bytes) -> Chunks:
    return [(0.08 if place else 0.0, answer[place : place + 1]) for place in range(len(answer))]


def test_an_answer_of_one_byte_each_80_ms_is_read_by_default(bench: Bench):
    """case 21: the identity too, which takes longer than a meter may be silent, and with the shipped deadlines."""
    shipped = replace(TIMING, response_s=3.0, identity_s=0.3, resync_s=15.0)
    bench.profile = replace(bench.profile, timing=shipped)
    bench.scripted.identity = b"N,T,4,1"
    bench.scripted.answer_faults["*IDN?"] = dripping
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(dripping)
    bench.reads_its_own(meter)


def test_a_drip_that_is_too_slow_once_is_got_over(bench: Bench):
    """case 21: what is quiet for longer than the line may be is still an answer that goes on."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(dripping)
    bench.fails(meter, NoAnswer, "only a piece")
    bench.reads_its_own(meter)


def with_flow_signs(answer: bytes) -> Chunks:
    return [(0.0, b"\x13\x11" + answer[:4] + b"\x13"), (0.05, b"\x11" + answer[4:] + b"\x13\x11")]


def test_flow_signs_in_the_data_are_taken_out_where_the_profile_has_them(bench: Bench):
    """case 21: by the system's own line discipline."""
    bench.profile = replace(bench.profile, line=replace(bench.profile.line, flow=Flow.XON_XOFF))
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([with_flow_signs] * 2)
    bench.reads_its_own(meter)


def test_flow_signs_in_the_data_are_named_where_the_profile_has_none(bench: Bench):
    """case 21."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(with_flow_signs)
    bench.fails(meter, Unreadable, "flow signs XON, XOFF.*set the flow of the line to xon/xoff")
    bench.reads_its_own(meter)


@pytest.mark.parametrize(
    ("sends", "named"),
    [
        (lambda message, answer: message + b"\n" + answer, r"\*IDN\?"),
        (lambda message, answer: answer + b"=>\n", "=>"),
        (lambda message, answer: answer + b"=> ", "=>"),
        (lambda message, answer: answer or (b"OK\n" if message else b""), "OK"),
    ],
    ids=["echo", "prompt line", "prompt", "acknowledge"],
)
def test_an_echo_a_prompt_and_an_acknowledge_line_are_named_when_opening(bench: Bench, sends, named: str):
    """case 22: without a profile that has them."""
    heard = bench.scripted.hear

    def hear(message: str) -> Chunks:
        answer = b"".join(chunk for _, chunk in heard(message))
        return [(0.0, sends(message.encode(), answer))]

    bench.scripted.hear = hear  # type: ignore[method-assign]
    meter = bench.meter_on(bench.plug().device)
    with bench.in_time(TIMING.resync_s), pytest.raises(OutOfStep, match=named):
        meter.open()


def test_one_echo_by_the_way_is_an_error_and_got_over(bench: Bench):
    """case 22: somebody switched it on at the panel, and off again."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, b"READ?\n" + answer)])
    bench.fails(meter, OutOfStep, r"READ\?'")
    bench.reads_its_own(meter)
