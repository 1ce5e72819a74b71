"""What is an error by default is read where the profile declares it: cases 14, 20 and 22."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from drivers.answer_shape import AnswerShape
from drivers.errors import NoAnswer, OutOfStep
from drivers.line_pattern import line_pattern
from drivers.manners import Manners
from drivers.reading import Quantity, State

from .meters import Chunks, instead, late
from .scripted_bench import TIMING, Bench

Says = Callable[[bytes, bytes], bytes]
"""Message and answer -> all that comes."""

ECHO: Says = lambda message, answer: message + b"\n" + answer  # noqa: E731
PROMPT: Says = lambda message, answer: answer + b"=>\n"  # noqa: E731
BARE_PROMPT: Says = lambda message, answer: answer + b"=> "  # noqa: E731
ACKNOWLEDGE: Says = lambda message, answer: answer or (b"OK\n" if message else b"")  # noqa: E731
ALL_OF_IT: Says = lambda message, answer: message + b"\n" + answer + b"=>\n"  # noqa: E731

PROMPTS = Manners(prompt=b"=>", command_error=b"?>", execution_error=b"!>")
MANNERED = [
    (Manners(echo=True), ECHO),
    (PROMPTS, PROMPT),
    (replace(PROMPTS, prompt_ends_line=False), BARE_PROMPT),
    (Manners(acknowledge=b"OK", refusal=b"nOK"), ACKNOWLEDGE),
    (replace(PROMPTS, echo=True), ALL_OF_IT),
]
NAMES = ["echo", "prompt line", "prompt", "acknowledge", "echo and prompt"]


def speak(bench: Bench, says: Says) -> None:
    """The scripted meter says this around its answers; delays stay in front."""
    heard = bench.scripted.hear

    def hear(message: str) -> Chunks:
        chunks = heard(message)
        answer = b"".join(chunk for _, chunk in chunks)
        return [(sum(delay for delay, _ in chunks), says(message.encode(), answer))]

    bench.scripted.hear = hear  # type: ignore[method-assign]


@pytest.mark.parametrize(("manners", "says"), MANNERED, ids=NAMES)
def test_an_echo_a_prompt_and_an_acknowledge_line_are_read_with_a_profile_that_has_them(
    bench: Bench, manners: Manners, says: Says
):
    """case 22: and a late answer among them is got over."""
    bench.profile = replace(bench.profile, manners=manners)
    speak(bench, says)
    meter = bench.on_volts(bench.plug().device)
    asked = len(bench.scripted.heard)
    bench.reads_its_own(meter)
    assert bench.scripted.heard[asked:] == ["READ?", "READ?", "CONF?"]
    bench.scripted.line_faults.append(late(TIMING.response_s + 0.15))
    bench.fails(meter, (NoAnswer, OutOfStep), "READ")
    bench.reads_its_own(meter)


@pytest.mark.parametrize(("manners", "says"), MANNERED, ids=NAMES)
def test_a_cut_or_damaged_answer_is_no_value_with_manners_either(bench: Bench, manners: Manners, says: Says):
    """case 22: the prompt after a piece of an answer does not make it whole."""
    bench.profile = replace(bench.profile, manners=manners)
    speak(bench, says)
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:6])])
    bench.fails(meter, (NoAnswer, OutOfStep), "READ")
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:6] + b"x" + answer[7:])])
    bench.fails(meter, OutOfStep, "READ")
    bench.reads_its_own(meter)


def test_an_unsolicited_line_that_the_profile_declares_is_skipped(bench: Bench):
    """case 14: before the query, before the answer and glued to it."""
    bench.profile = replace(bench.profile, manners=Manners(skip=(line_pattern("battery low"),)))
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    asked = len(bench.scripted.heard)
    peer.say(b"battery low\n")
    assert peer.wait_sent()
    bench.scripted.line_faults.append(lambda answer: [(0.0, b"battery low\n" + answer)])
    bench.scripted.line_faults.append(lambda answer: [(0.0, b"battery low\n"), (0.05, answer)])
    bench.reads_its_own(meter)
    assert bench.scripted.heard[asked:] == ["READ?", "READ?", "CONF?"]


def shaped(bench: Bench, shape: AnswerShape, units: dict[str, float] | None = None) -> None:
    volts = replace(bench.profile.functions[Quantity.VOLTAGE_AC], units=units or {})
    bench.profile = replace(bench.profile, shape=shape, functions={Quantity.VOLTAGE_AC: volts})


@pytest.mark.parametrize(
    ("shape", "units", "right", "wrong"),
    [
        (AnswerShape(), {"VAC": 1.0}, b"%s VAC\n", b"%s VDC\n"),
        (AnswerShape(), {"VAC": 1.0}, b"%sVAC\n", b"%s\n"),
        (AnswerShape(separator=",", element=1, count=3), {}, b"%s,12.5,17\n", b"%s,12.5\n"),
        (AnswerShape(separator=",", element=2, count=2), {}, b"17,%s\n", b"17,%s,3\n"),
        (AnswerShape(decimal_comma=True), {}, b"COMMA", b"%s\n"),
    ],
    ids=["unit", "unit without a blank", "list", "second of a list", "decimal comma"],
)
def test_a_unit_a_list_and_a_decimal_comma_are_read_where_they_are_declared(
    bench: Bench, shape: AnswerShape, units: dict[str, float], right: bytes, wrong: bytes
):
    """case 20: another unit, none, and a list of another length are errors."""
    shaped(bench, shape, units)
    scripted = bench.scripted
    heard = scripted.hear

    def hear(message: str) -> Chunks:
        chunks = heard(message)
        if message != "READ?" or scripted.as_is:
            return chunks
        number = chunks[0][1].strip()
        return [(0.0, number.replace(b".", b",") + b"\n" if right == b"COMMA" else right % number)]

    scripted.as_is = False  # type: ignore[attr-defined]
    scripted.hear = hear  # type: ignore[method-assign]
    meter = bench.meter_on(bench.plug().device)
    meter.open()
    meter.select(Quantity.VOLTAGE_AC, 6.3)
    for _ in range(2):
        reading = meter.read()
        assert (reading.state, reading.value) == (State.GOOD, float(scripted.given[-1]))
    scripted.line_faults.append(instead((0.0, wrong % b"+6.30000000E+00")))
    scripted.as_is = True  # type: ignore[attr-defined]
    bench.fails(meter, OutOfStep, "READ")
    scripted.as_is = False  # type: ignore[attr-defined]
    assert meter.read().value == float(scripted.given[-1])
