"""Watts that the core takes, from three voltages and a known resistor: what tells a shorted turn from a good core."""

from __future__ import annotations

import math

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.judging import judge, unless_next_to_nothing, unreadable_result
from bench.acceptance.requests import Connect, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.three_voltages import core_power
from bench.estimate import Estimate
from drivers.reading import Quantity, Reading, State

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
_NO_RESISTOR = "no series resistor on this bench: a shorted turn is not excluded; any 1 kohm, 10 W resistor will do"


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=True)]


def run(context: Context) -> Steps:
    """P = (Vs^2 - Vr^2 - V^2) / 2R, exact for any wave with true RMS readings; less the winding's own I2R."""
    resistor = context.equipment.series_ohms
    curve = context.expectation.curve
    if curve is None or resistor is None:
        context.skip(_STEP, _NO_RESISTOR if resistor is None else f"the job does not say {context.why_no_curve}")
        return
    fed = context.expectation.fed_span
    feed = context.feed(_STEP, context.rules[_STEP]["at"] * context.expectation.voltage, "variac", series_ohms=resistor)
    places = {
        "winding": (fed.from_terminal, fed.to_terminal),
        "resistor": ("resistor.supply", "resistor.winding"),
        "both": ("resistor.supply", fed.to_terminal),
    }
    readings: dict[str, Reading] = {}
    try:
        for name, (start, finish) in places.items():
            yield from context.connect(
                Connect(
                    _STEP,
                    Quantity.VOLTAGE_AC,
                    start,
                    finish,
                    winding=fed.winding,
                    text=f"{resistor:g} ohm in series with {fed.name}; voltmeter across {_where(name)}.",
                    expected=feed.volts,
                )
            )
            yield from context.excite(feed)
            # All three on one range: their gain error is then one and the same.
            readings[name] = yield from context.take(_STEP, Quantity.VOLTAGE_AC, feed.volts * 1.1, samples=3)
    except Skipped as reason:
        context.skip(_STEP, f"{reason}: a shorted turn is not excluded")
        yield from context.switch_off(_STEP)
        return
    yield from context.switch_off(_STEP)
    yield StepDone(_judge(context, resistor, readings))


def _judge(context: Context, resistor: float, readings: dict[str, Reading]) -> StepResult:
    curve = context.expectation.curve
    assert curve is not None
    rules = context.rules[_STEP]
    fed = context.expectation.fed_span
    bad = next((r for r in readings.values() if r.state is not State.GOOD or r.value is None or r.value <= 0), None)
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
    winding, across, both = (Estimate.of(readings[name]) for name in ("winding", "resistor", "both"))
    core = core_power(context, resistor, winding, across, both)
    expected = curve.watts_at(winding.value)
    upper = expected * math.exp(COVERAGE * curve.u_log_watts_at(winding.value))
    result = judge(
        _STEP,
        _LABEL,
        "power",
        fed.name,
        "W",
        core,
        lower=None,
        upper=upper,
        basis=rules["basis"],
        expected=expected,
        readings=tuple(readings.values()),
        at_volts=winding.value,
    )
    result = unless_next_to_nothing(result, "three voltages of one circuit, on one range?")
    if result.verdict is Verdict.REJECTED:
        context.gates.append(
            f"the core takes {core.value:.3g} W where {expected:.3g} W are due: signs of a shorted turn"
        )
    return result


def _where(name: str) -> str:
    return {"winding": "the winding", "resistor": "the resistor", "both": "both together"}[name]
