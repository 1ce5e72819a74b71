"""The heat run: rated load until nothing grows, then a rise by resistance with its doubt, by a rule that is named."""

from __future__ import annotations

import math
from typing import Any

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.dry_bench import DryBench
from bench.acceptance.heat_limit import heat_rule
from bench.acceptance.procedure import Finished
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, Request, Skipped, Take, Wait
from bench.acceptance.result import StepResult, TestResult
from bench.job.procedure_file import Stage
from bench.whole_test import rules_named
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import coastal_receiver
from tests.acceptance.rehearsed import rehearsed
from tests.acceptance.short import run_short, short_file, short_procedure, step_of, undone

KINDS = ("conditions", "resistance", "heat_run")
STEP = "heat_run:primary"


def _run(**bench: Any) -> tuple[TestResult, DryBench]:
    return run_short(short_procedure(*KINDS, stage=Stage.AFTER_VARNISH), **bench)


def test_the_rise_is_that_at_the_moment_of_switching_off() -> None:
    # The dry bench is 45 K over its 20 °C when it is switched off, and loses two thirds of it in 400 s.
    result, _ = _run()
    step = step_of(result, STEP)
    assert step.measured == pytest.approx(45.0, abs=1.0)
    assert step.verdict is Verdict.ACCEPTED
    assert abs((step.measured or 0) - 45.0) < 2 * step.u
    assert {"cooling curve", "moment of switching off", "thermometer in the air"} <= {c.source for c in step.components}


def test_all_loads_are_on_and_the_supply_is_raised_as_the_rule_says() -> None:
    _, bench = _run()
    at = next(n for n, one in enumerate(bench.seen) if isinstance(one, Wait))
    assert {one.winding for one in bench.seen[:at] if isinstance(one, Load)} == {"ht", "rectifier", "heater"}
    fed = [one for one in bench.seen[:at] if isinstance(one, Excite) and one.volts]
    assert fed[-1].volts == pytest.approx(1.06 * 230)


def test_it_goes_on_until_the_core_gets_no_warmer() -> None:
    temperatures = iter(["30", "38", "41", "41.3", "41.4"])
    procedure = short_procedure(*KINDS, stage=Stage.AFTER_VARNISH)
    bench = DryBench(procedure.context.expectation)
    request, rounds = procedure.start(), 0
    while not isinstance(request, Finished):
        rounds += isinstance(request, Wait) and request.seconds == 1800
        core = isinstance(request, Enter) and request.place == "core"
        request = procedure.feed(next(temperatures) if core else bench.answer(request))
    assert rounds == 4
    assert "not known" not in step_of(request.result, STEP).note


def test_without_a_thermometer_a_pass_is_no_pass() -> None:
    class NoThermometer(DryBench):
        def answer(self, request: Request) -> Any:
            core = isinstance(request, Enter) and request.place == "core"
            return Skipped("no thermometer") if core else super().answer(request)

    procedure = short_procedure(*KINDS, stage=Stage.AFTER_VARNISH)
    result = NoThermometer(procedure.context.expectation).run(procedure)
    assert step_of(result, STEP).verdict is Verdict.UNDECIDED
    assert "not known to have got as warm as it gets" in step_of(result, STEP).note


def _hot(factor: float) -> StepResult:
    def hotter(take: Take, connect: Connect, value: float) -> float:
        return value * factor if take.step == STEP and take.quantity.unit == "ohm" else value

    return step_of(_run(change=hotter)[0], STEP)


@pytest.mark.parametrize(("factor", "verdict"), [(1.02, Verdict.ACCEPTED), (1.25, Verdict.REJECTED)])
def test_a_winding_hotter_than_its_class_allows_rejects(factor: float, verdict: Verdict) -> None:
    step = _hot(factor)
    assert (step.verdict, step.upper) == (verdict, pytest.approx(75.0))


def test_readings_that_do_not_fall_condemn_nothing() -> None:
    def flat(take: Take, connect: Connect, value: float) -> float:
        return 18.0 if take.step == STEP and take.quantity.unit == "ohm" else value

    step = step_of(_run(change=flat)[0], STEP)
    assert (step.verdict, step.measured) == (Verdict.TROUBLE, None)
    assert "don't fall" in step.note


def test_readings_that_come_too_late_are_no_cooling_curve() -> None:
    rules = {"heat_run": rules_named()["heat_run"] | {"latest_seconds": 20.0}}
    result, _ = run_short(short_procedure(*KINDS, stage=Stage.AFTER_VARNISH, rules=rules))
    assert "readings within 20 s, expected 5 or more" in step_of(result, STEP).note


def test_by_hand_the_seconds_are_typed_and_the_moment_is_less_sure() -> None:
    procedure = short_procedure(*KINDS, stage=Stage.AFTER_VARNISH, by_hand=True)
    bench = DryBench(procedure.context.expectation)
    request, off, typed = procedure.start(), 0.0, 0
    while not isinstance(request, Finished):
        if isinstance(request, Take) and request.quantity is Quantity.TIME:
            off = bench.clock + 1
        seconds = isinstance(request, Enter) and request.quantity is Quantity.TIME
        if seconds:
            bench._pass(14.0)
            typed += 1
        request = procedure.feed(f"{bench.clock + 1 - off:.0f}" if seconds else bench.answer(request))
    assert typed == 8
    step = step_of(request.result, STEP)
    assert step.measured == pytest.approx(45.0, abs=2 * step.u)
    by_meter = step_of(_run()[0], STEP)
    parts = [next(c.u for c in one.components if c.source == "moment of switching off") for one in (step, by_meter)]
    assert parts[0] > parts[1]


def test_ohms_are_read_on_a_dead_unit_and_at_once() -> None:
    _, bench = _run()
    at = next(n for n, one in enumerate(bench.seen) if isinstance(one, Take) and one.quantity is Quantity.TIME)
    told, off, _, ohmmeter = bench.seen[at - 2 : at + 2]
    assert isinstance(off, Excite)
    assert off.volts == 0.0
    assert isinstance(ohmmeter, Connect)
    assert isinstance(told, Confirm)
    assert "Next: volts to zero" in told.text


def test_a_load_that_is_missing_leaves_the_run_undone_with_nothing_live() -> None:
    result, bench = run_short(
        short_procedure(*KINDS, stage=Stage.AFTER_VARNISH, load_resistors=()), skipped=frozenset({STEP})
    )
    assert undone(result)[STEP] == "not today"
    assert not [one for one in bench.seen if isinstance(one, Excite) and one.volts > 0]


@pytest.mark.parametrize(
    ("standard", "letter", "rise", "supply", "said"),
    [
        ("IEC 61558-1 normal use", "A", 75.0, 1.06, "from memory"),
        ("IEC 61558-1 normal use", "B", 95.0, 1.06, "not the rule of IEC 60076-11"),
        ("IEC 60076-11", "A", 60.0, 1.0, "not the rule of IEC 61558-1 normal use"),
        ("IEC 60076-11", "", 60.0, 1.0, "class A, since the job names none"),
    ],
)
def test_the_limit_names_its_rule_and_the_one_that_it_is_not(
    standard: str, letter: str, rise: float, supply: float, said: str
) -> None:
    rules = rules_named()
    rule = heat_rule({**rules, "heat_run": {**rules["heat_run"], "standard": standard}}, letter)
    assert (rule.rise, rule.supply) == (pytest.approx(rise), supply)
    assert said in rule.basis


@pytest.mark.parametrize("standard", ["IEC 60085", "IEC 61558-1 overload", "ours"])
def test_a_standard_of_another_kind_is_refused(standard: str) -> None:
    rules = rules_named()
    with pytest.raises(ValueError, match="expected one of"):
        heat_rule({**rules, "heat_run": {**rules["heat_run"], "standard": standard}}, "A")


def test_the_rehearsal_s_own_heat_is_found_by_resistance() -> None:
    job = coastal_receiver()
    result, bench = rehearsed(job, short_file(*KINDS, stage=Stage.AFTER_VARNISH), reason="on its own")
    step = step_of(result, STEP)
    truth = bench.heat_at_off
    assert truth > 10
    assert math.isfinite(step.u)
    assert step.measured == pytest.approx(truth, abs=max(2 * step.u, 1.5))
