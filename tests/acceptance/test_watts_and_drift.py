"""Watts by a wattmeter, by three voltages or not at all; a supply that drifts is read around, or told."""

from __future__ import annotations

from typing import Any

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.meter_abilities import Wattmeter
from bench.acceptance.requests import Connect, Enter, Excite, Request, Skipped, Take
from bench.acceptance.result import TestResult
from bench.design.forward import Forward
from bench.job.expectation import Variant
from bench.whole_test import rules_named
from drivers.accuracy import Accuracy
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal

WATTMETER = Wattmeter("plug-in wattmeter", Accuracy(2.0, counts=2))


def by_wattmeter(factor: float, series_ohms: float | None = None) -> tuple[TestResult, IdealBench]:
    procedure = new_procedure(wattmeter=WATTMETER, series_ohms=series_ohms)
    expectation = procedure.context.expectation
    curve, volts = expectation.curve, 0.6 * expectation.voltage
    assert curve is not None
    copper = curve.current_at(volts) ** 2 * (expectation.fed_span.resistance or 0.0)
    bench = IdealBench(expectation, typed={"core_watts": f"{factor * curve.watts_at(volts) + copper:.3f}"})
    return bench.run(procedure), bench


def test_a_wattmeter_is_read_by_a_person_while_the_meter_reads_the_volts() -> None:
    result, bench = by_wattmeter(1.0)
    step = next(step for step in result.steps if step.id == "core_watts")
    assert step.label == "core watts, by a wattmeter"
    assert step.verdict is Verdict.ACCEPTED
    assert step.measured == pytest.approx(step.expected, rel=2e-3)
    assert "plug-in wattmeter:gain" in {component.source for component in step.components}
    asked = next(r for r in bench.seen if isinstance(r, Enter) and r.step == "core_watts")
    assert (asked.quantity, asked.unit) == (Quantity.POWER, "W")
    assert not any(isinstance(r, Excite) and r.series_ohms for r in bench.seen)


def test_far_too_many_watts_on_a_wattmeter_reject_and_bar_what_would_follow() -> None:
    result, _ = by_wattmeter(4.0)
    assert next(step for step in result.steps if step.id == "core_watts").verdict is Verdict.REJECTED
    assert any("signs of a shorted turn" in one.reason for one in result.not_done)


def test_without_wattmeter_and_resistor_a_shorted_turn_is_said_not_to_be_excluded() -> None:
    result, _ = run_ideal(equipment={"series_ohms": None})
    reason = next(one.reason for one in result.not_done if one.id == "core_watts")
    assert "shorted turn not excluded" in reason


class WithoutWattmeter(IdealBench):
    """Skips what is asked of the wattmeter."""

    def answer(self, request: Request) -> Any:
        if isinstance(request, Enter) and request.quantity is Quantity.POWER:
            return Skipped("no wattmeter today")
        return super().answer(request)


def test_a_wattmeter_that_is_skipped_leaves_the_three_voltages() -> None:
    procedure = new_procedure(wattmeter=WATTMETER, series_ohms=1000.0)
    result = WithoutWattmeter(procedure.context.expectation).run(procedure)
    step = next(step for step in result.steps if step.id == "core_watts")
    assert step.label == "core watts, from three voltages"
    assert step.verdict is Verdict.ACCEPTED


class Drifting(IdealBench):
    """The volts grow by a share with every request."""

    per_request = 0.0

    def _volts(self, connect: Connect, volts: float) -> float:
        return super()._volts(connect, volts) * (1 + self.per_request * self.clock)


def on_a_drifting_supply(per_request: float) -> tuple[TestResult, Drifting]:
    procedure = new_procedure()
    bench = Drifting(procedure.context.expectation)
    bench.per_request = per_request
    return bench.run(procedure), bench


def references(bench: IdealBench, kind: str) -> int:
    return sum(isinstance(r, Take) and r.step == f"{kind}:primary" for r in bench.seen)


def test_a_steady_supply_is_read_at_both_ends_of_a_row_only() -> None:
    _, bench = on_a_drifting_supply(0.0)
    assert references(bench, "open_circuit") == 2


def test_a_supply_that_drifts_more_than_the_row_bears_is_read_between_each_two_and_the_turns_come_out_right() -> None:
    result, bench = on_a_drifting_supply(1.5e-4)
    assert references(bench, "open_circuit") > 4
    turns = [step for step in result.steps if step.id.startswith("turns:")]
    assert len(turns) >= 4
    for step in turns:
        assert step.verdict is Verdict.ACCEPTED, step
        assert step.measured == pytest.approx(step.expected, rel=2e-3)


def test_a_hopeless_supply_is_trouble_of_the_supply_and_never_rejects_the_unit() -> None:
    result, _ = on_a_drifting_supply(6e-3)
    assert result.verdict is not Verdict.REJECTED
    assert any("the supply moved by" in step.note for step in result.steps if step.verdict is Verdict.TROUBLE)


def test_a_gap_on_a_wattmeter_is_no_loss_of_the_core_for_i2r_is_taken_off_by_the_current_as_read() -> None:
    """0.2 mm of gap: a multiple of the current, and of its I2R, beside the same watts of the core."""
    job, rules = coastal_receiver(), rules_named()
    gapped = Forward(job, rules)(Variant(joint_added=0.2e-3))
    good = Forward(job, rules).design
    volts = 0.6 * good.voltage
    assert gapped.curve is not None
    assert good.curve is not None
    ohms = good.fed_span.resistance or 0.0
    copper = gapped.curve.current_at(volts) ** 2 * ohms
    watts = gapped.curve.watts_at(volts) + copper
    assert copper > 0.04 * gapped.curve.watts_at(volts)
    procedure = new_procedure(wattmeter=WATTMETER, series_ohms=None)
    result = IdealBench(gapped, typed={"core_watts": f"{watts:.3f}"}).run(procedure)
    step = next(step for step in result.steps if step.id == "core_watts")
    assert step.measured == pytest.approx(good.curve.watts_at(volts), rel=0.01)
    assert result.findings[0].fault == "core_gap"
