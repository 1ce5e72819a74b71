"""Typed answers of the measurements that a diagnosis advises: each form, what it becomes, and what is refused."""

from __future__ import annotations

import pytest

from bench.acceptance.result import StepResult
from bench.design.forward import Forward
from bench.diagnosis.evidence import Kind, evidence_of
from bench.diagnosis.typed import TypedProblem, TypedReadings
from bench.whole_test import rules_named
from drivers.accuracy import Accuracy
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import coastal_receiver

JOB = coastal_receiver()
DESIGN = Forward(JOB, rules_named()).design


def _step(text: str) -> StepResult:
    return TypedReadings(DESIGN, {Quantity.VOLTAGE_AC: Accuracy(0.1)}).step(text)


def _kind(step: StepResult) -> Kind:
    (one,) = evidence_of((step,)).observed
    return one.kind


def test_a_search_coil_is_volts_by_turns_that_are_known() -> None:
    step = _step("search:10=3.469 V@230.0 V")
    # 3.469 V x 662 / 230 V = 9.985 turns before the primary's drop of 0.15 %.
    assert step.measured == pytest.approx(9.985 / (1 - DESIGN.drop(230.0)), rel=1e-4)
    assert (step.id, step.expected, step.winding, step.at_volts) == ("search:10", 10.0, "primary", 230.0)
    assert _kind(step) is Kind.SEARCH


def test_two_windings_compared_take_no_drop_for_granted() -> None:
    step = _step("backfed:primary-ht.centre=184.6 V@216.7 V")
    assert step.measured == pytest.approx(184.6 / 216.7 * 777)
    assert step.expected == pytest.approx(662.0)
    assert step.at_volts == pytest.approx(216.7 * 662 / 777)
    assert _kind(step) is Kind.BACKFED


def test_volts_to_one_place_share_the_meter_s_error_of_range() -> None:
    # One gain of 0.1 % for both would leave the ratio as it is: what is left is rounding and the flux beside the core.
    step = _step("backfed:primary-ht.centre=184.63 V@216.71 V")
    gains = [part for part in step.components if part.source.endswith(":gain")]
    assert sum(part.u * part.sensitivity for part in gains) == pytest.approx(0.0, abs=1e-9)
    assert 0 < step.u / (step.measured or 1) < 0.001


@pytest.mark.parametrize(
    ("text", "expected"), [("sum:rectifier-heater=0.616 V@12 V", 34.0), ("bucking:rectifier-heater=0.072 V@12 V", 4.0)]
)
def test_two_in_series_are_told_in_turns(text: str, expected: float) -> None:
    step = _step(text)
    assert step.expected == expected
    assert step.measured == pytest.approx(expected, rel=0.01)
    assert _kind(step) is Kind.SERIES


def test_two_alike_may_show_nothing_against_each_other() -> None:
    assert _step("bucking:ht.centre-ht.finish=0.000 V@12 V").measured == 0.0


@pytest.mark.parametrize(("text", "low"), [("watts=0.03 W@20 V", True), ("watts=1.9 W@138 V", False)])
def test_watts_at_a_few_volts_have_the_doubt_of_few_volts(text: str, low: bool) -> None:
    (one,) = evidence_of((_step(text),)).observed
    assert (one.kind, one.low) == (Kind.WATTS, low)


@pytest.mark.parametrize(
    ("text", "id", "winding", "answer"),
    [
        ("look:core_gap=no", "look:core_gap", "", 0.0),
        ("look:screen_closed=yes", "look:screen_closed", "", 1.0),
        ("look:screen_closed:screen=no", "look:screen_closed:screen", "screen", 0.0),
        ("look:joint_poor:heater=yes", "look:joint_poor:heater", "heater", 1.0),
        ("look:joint_poor:ht.centre=yes", "look:joint_poor:ht.centre", "ht.centre", 1.0),
        ("look:reading_wrong:ht=no", "look:reading_wrong:ht", "ht", 0.0),
    ],
)
def test_a_look_is_a_yes_or_a_no_and_no_number_among_numbers(text: str, id: str, winding: str, answer: float) -> None:
    step = _step(text)
    assert (step.id, step.winding, step.measured) == (id, winding, answer)
    assert len(evidence_of((step,))) == 0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("search:some=3 V@230 V", "the search coil's turns, a whole number up to 200"),
        ("search:0=3 V@230 V", "the search coil's turns"),
        ("search:10=3 V", "the volts on the primary are missing"),
        ("search:10=3 mA@230 V", "expected a voltage"),
        ("search:10=0 V@230 V", "expected more than 0"),
        ("backfed:primary-ht=228 V", "the volts of ht at the same moment are missing"),
        ("backfed:primary=228 V@520 V", "expected backfed:ONE-OTHER=VOLTS@VOLTS with two of primary, ht"),
        ("backfed:ht-ht.centre=500 V@250 V", "are one winding, expected two"),
        ("sum:ht-foo=3 V@12 V", "expected sum:ONE-OTHER=VOLTS@VOLTS with two of primary"),
        ("look:mood=yes", "no look tells 'mood', expected one of reading_wrong"),
        ("look:core_gap:ht=yes", "expected look:core_gap alone"),
        ("look:joint_poor:foo=yes", "no look at 'foo' for joint_poor, expected one of primary"),
        ("look:screen_closed:ht=yes", "expected one of screen"),
        ("look:core_gap=perhaps", "'perhaps', expected yes or no"),
    ],
)
def test_what_can_t_be_taken_says_in_one_line_what_can(text: str, words: str) -> None:
    with pytest.raises(TypedProblem) as refused:
        _step(text)
    assert words in str(refused.value)
    assert len(str(refused.value).splitlines()) == 1


def test_a_name_with_a_hyphen_is_found_in_a_pair() -> None:
    windings = tuple(
        one.model_copy(update={"name": "heater-b"}) if one.name == "heater" else one for one in JOB.winding
    )
    design = Forward(JOB.model_copy(update={"winding": windings}), rules_named()).design
    step = TypedReadings(design, {}).step("sum:rectifier-heater-b=0.616 V@12 V")
    assert step.expected == 34.0


@pytest.mark.parametrize("text", ["amps=0 V@230 V", "amps=95 mA@0 V", "volts:heater=-6 V@230 V", "stack=0 mm"])
def test_what_is_wrong_with_a_reading_is_said_of_the_whole_of_it(text: str) -> None:
    with pytest.raises(TypedProblem) as problem:
        _step(text)
    assert text in str(problem.value)


@pytest.mark.parametrize("answer", ["YES", "Yes", "yes"])
def test_a_yes_may_be_shouted(answer: str) -> None:
    assert _step(f"look:core_gap={answer}").measured == 1.0
