"""Watts that the core takes, by a wattmeter or from three voltages: what tells a shorted turn from a good core."""

from __future__ import annotations

from dataclasses import replace

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import unreadable_result
from bench.acceptance.requests import Due, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.shorted_turn import SHORTED_NOT_EXCLUDED
from bench.acceptance.three_voltages import core_power, read_three
from bench.acceptance.watts import by_wattmeter, judge_watts
from bench.estimate import Estimate
from bench.quantities import show
from drivers.reading import Reading, State

ABOUT = About(
    words="watts that the core takes",
    mains=True,
    feeds=True,
    rules_out=("turns_shorted", "screen_closed", "laminations_bridged", "core_steel_degraded"),
    guards=("conditions", "insulation", "first_power"),
    minutes=5.0,
)

_STEP = "core_watts"
_LABEL = "core watts, from three voltages"
_WATTMETER_LABEL = "core watts, by a wattmeter"
_TOO_LITTLE = 0.05
"""Of the winding's volts across the resistor: below, the doubt of the difference of large volts leaves no watts."""
_GOOD_SHARE = 0.2
_NEITHER = (
    f"no wattmeter and no series resistor on this bench: {SHORTED_NOT_EXCLUDED}; any 1 kohm, 10 W resistor will do"
)


def plan(context: Context) -> list[PlannedStep]:
    label = _LABEL if context.equipment.wattmeter is None else _WATTMETER_LABEL
    return [PlannedStep(_STEP, label, required=True)]


def run(context: Context) -> Steps:
    """By the wattmeter where there is one, else from three voltages across a known resistor, else not at all."""
    curve = context.expectation.curve
    wattmeter, resistor = context.equipment.wattmeter, context.equipment.series_ohms
    if curve is None:
        context.skip(_STEP, f"the job does not say {context.why_no_curve}")
        return
    if wattmeter is not None:
        try:
            yield from by_wattmeter(context, curve, wattmeter)
            return
        except Skipped as reason:
            yield from context.switch_off(_STEP)
            if resistor is None:
                context.skip(_STEP, f"{reason}: {SHORTED_NOT_EXCLUDED}")
                return
    if resistor is None:
        context.skip(_STEP, _NEITHER)
        return
    yield from _by_three_voltages(context, resistor)


def _by_three_voltages(context: Context, resistor: float) -> Steps:
    """P = (Vs^2 - Vr^2 - V^2) / 2R, exact for any wave with true RMS readings; less the winding's own I2R."""
    feed = context.feed(_STEP, context.rules[_STEP]["at"] * context.expectation.voltage, "variac", series_ohms=resistor)
    try:
        readings = yield from read_three(context, _STEP, resistor, feed, due=_due(feed.volts))
    except Skipped as reason:
        context.skip(_STEP, f"{reason}: {SHORTED_NOT_EXCLUDED}")
        yield from context.switch_off(_STEP)
        return
    yield from context.switch_off(_STEP)
    yield StepDone(_judge(context, resistor, readings))


def _judge(context: Context, resistor: float, readings: list[Reading]) -> StepResult:
    curve = context.expectation.curve
    assert curve is not None
    rules = context.rules[_STEP]
    fed = context.expectation.fed_span
    bad = next((r for r in readings if r.state is not State.GOOD or r.value is None or r.value <= 0), None)
    if bad is not None:
        return unreadable_result(
            _STEP,
            _LABEL,
            "power",
            fed.name,
            "W",
            bad,
            basis=rules["basis"],
            note="one of the three voltages could not be read: supply, leads or range",
        )
    winding, across = (Estimate.of(readings[n]).value for n in (0, 1))
    core = core_power(context, resistor, readings)
    result = judge_watts(context, curve, core, winding, _LABEL, tuple(readings))
    if result.verdict is Verdict.UNDECIDED and across < _TOO_LITTLE * winding:
        return replace(result, note=f"{result.note}; {_too_few_ohms(resistor, winding, across)}")
    return result


def _too_few_ohms(resistor: float, volts: float, across: float) -> str:
    better = show(_GOOD_SHARE * volts * resistor / across, "ohm", 1)
    return (
        f"{resistor:g} ohm is too small here: the watts are told by the {show(across, 'V', 2)} across it beside "
        f"{show(volts, 'V', 3)}. About {better}, 10 W, tells them far more surely"
    )


def _due(volts: float) -> Due:
    """Across the winding, or across both: the resistor takes a part."""
    return Due(volts, volts / 2, volts * 1.2)
