"""The look for a shorted turn at a few volts, before any mains."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from bench.acceptance.context import HANDS_OFF_VOLTS
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Connect, Excite, Take
from bench.acceptance.result import StepResult, TestResult
from bench.design.forward import Forward
from bench.job.expectation import Variant
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal

Change = Callable[[Take, Connect, float], float | None]


def _tested(ohms: float, lost: float = 0.0, **bench: Any) -> tuple[TestResult, IdealBench]:
    """A loop round the core;  lost: of the heater's turns, what a closed one leaves out of its volts."""
    closed = Variant(loop_conductance=1 / ohms, turns_added={"heater": -lost})
    unit = Forward(coastal_receiver(), rules_named())(closed)
    ideal = IdealBench(unit, **bench)
    return ideal.run(new_procedure()), ideal


def _step(result: TestResult) -> StepResult:
    return next(one for one in result.steps if one.id == "low_watts")


def _mains(bench: IdealBench) -> list[Excite]:
    return [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac" and r.volts]


def test_a_good_core_passes_and_says_which_dead_turns_would_have_shown() -> None:
    result, bench = run_ideal()
    step = _step(result)
    assert step.verdict is Verdict.ACCEPTED
    assert step.measured == pytest.approx(step.expected)
    assert "a dead shorted turn of rectifier, heater, screen would show; not one of primary, ht" in step.note
    fed = [r for r in bench.seen if isinstance(r, Excite) and r.step == "low_watts" and r.volts]
    assert all(r.source == "low voltage" and r.hazard <= HANDS_OFF_VOLTS for r in fed)
    assert all(r.series_ohms == 1000.0 for r in fed)


def test_a_dead_shorted_turn_of_thick_wire_is_seen_before_mains() -> None:
    # One turn of one 0.9 mm wire of the heater's two in hand, 5 mohm.
    result, bench = _tested(0.005, lost=0.5)
    step = _step(result)
    assert step.verdict is Verdict.REJECTED
    assert not _mains(bench)
    assert "signs of a shorted turn" in next(one.reason for one in result.not_done if one.id == "first_power")
    assert result.findings[0].fault in ("turns_shorted", "screen_closed")


def test_what_so_few_volts_hide_is_left_to_the_core_watts() -> None:
    result, bench = _tested(0.045)
    assert _step(result).verdict is not Verdict.REJECTED
    assert _mains(bench)
    assert next(one for one in result.steps if one.id == "core_watts").verdict is Verdict.REJECTED


def test_a_resistor_of_10_ohm_and_a_hand_held_meter_can_not_tell_and_it_says_what_would() -> None:
    # 3.5 digits on the 20 V range, +-(3 counts of 10 mV).
    result, _ = run_ideal(equipment={"series_ohms": 10.0}, floor=0.03 / 3**0.5)
    step = _step(result)
    assert step.verdict is Verdict.NOT_DONE
    told = next(one for one in result.not_done if one.id == "low_watts:value")
    assert not told.required
    assert "whether a turn is shorted is not told here" in told.reason
    assert "a resistor of about 2 kohm instead of 10 ohm would tell" in told.reason


def test_with_the_right_resistor_a_coarse_meter_is_named() -> None:
    result, _ = run_ideal(equipment={"series_ohms": 2200.0}, floor=2.0)
    assert _step(result).verdict is Verdict.NOT_DONE
    assert "a meter that reads" in _step(result).note


def test_a_core_between_good_and_bad_is_no_verdict_at_low_volts() -> None:
    def a_little_more(take: Take, connect: Connect, value: float) -> float:
        both = (
            take.step == "low_watts" and connect.to_terminal == "primary.finish" and "supply" in connect.from_terminal
        )
        return value * 1.03 if both else value

    result, _ = run_ideal(change=a_little_more)
    step = _step(result)
    assert step.measured is not None
    assert step.expected is not None
    assert 1.3 < step.measured / step.expected < 2
    assert step.verdict in (Verdict.ACCEPTED, Verdict.NOT_DONE)
    assert result.verdict is Verdict.ACCEPTED


def test_without_a_resistor_it_says_which_would_do() -> None:
    result, _ = run_ideal(equipment={"series_ohms": None})
    told = next(one for one in result.not_done if one.id == "low_watts")
    assert not told.required
    assert "2 kohm, will do" in told.reason


@pytest.mark.parametrize("value", [None, 0.0])
def test_a_reading_that_is_not_there_is_trouble_of_the_reading(value: float | None) -> None:
    def lost(take: Take, connect: Connect, reading: float) -> float | None:
        return value if take.step == "low_watts" else reading

    result, _ = run_ideal(change=lost)
    assert _step(result).verdict is Verdict.TROUBLE


def test_a_slip_of_one_reading_is_laid_to_the_reading() -> None:
    taken: list[str] = []

    def once(take: Take, connect: Connect, value: float) -> float:
        if take.step != "low_watts":
            return value
        taken.append(take.step)
        return value * 1.2 if len(taken) == 3 else value

    result, bench = run_ideal(change=once)
    assert _step(result).verdict is Verdict.TROUBLE
    assert _mains(bench)


def test_skipped_it_is_said_what_it_would_have_told_and_nothing_is_live() -> None:
    result, bench = run_ideal(skipped=frozenset({"low_watts"}))
    told = next(one for one in result.not_done if one.id == "low_watts")
    assert "nothing tells of a shorted turn before mains" in told.reason
    assert result.verdict is Verdict.ACCEPTED
    assert bench.excited is None
