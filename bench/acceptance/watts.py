"""Watts by a wattmeter that a person reads, and the judgement of the core's watts whichever way they were read."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from bench.acceptance.context import Context, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge, unless_next_to_nothing, unreadable_result
from bench.acceptance.meter_abilities import Wattmeter
from bench.acceptance.requests import Enter, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.steps.spans_by_volts import read_span
from bench.estimate import Estimate
from bench.job.expectation import ExcitingCurve
from bench.quantities import Dimension
from drivers.reading import Quantity, Reading, State

__all__ = ["by_wattmeter", "judge_watts"]

_STEP = "core_watts"
_LABEL = "core watts, by a wattmeter"
_MOST_WATTS = 1e4
# Of I2R by a current that was read: ohms as designed, and the current between two points; common practice, no source.
_U_COPPER = 0.1


def by_wattmeter(context: Context, curve: ExcitingCurve, wattmeter: Wattmeter) -> Steps:
    """Watts at the winding's terminals, typed, less the winding's own I2R; the volts are the meter's.

    I is what the exciting current was read as, between the points about these volts: a gap multiplies I2R and leaves
    the core's watts as they are. Where it was not read, I is the design's, and half of I2R is kept as doubt.
    """
    rules, fed = context.rules[_STEP], context.expectation.fed_span
    feed = context.feed(_STEP, rules["at"] * context.expectation.voltage, "variac")
    place = f"Wattmeter between the supply and {fed.name}; voltmeter on {fed.name}."
    reading = yield from read_span(context, _STEP, fed, feed, place)
    text = (
        f"Watts on {wattmeter.name} with all its digits, current coil in the wire to {fed.from_terminal}, less what it "
        "takes itself. Read it; touch nothing else."
    )
    typed, raw = yield from entered(Enter(_STEP, Quantity.POWER, text, "W"), Dimension.POWER, 0.0, _MOST_WATTS)
    yield from context.switch_off(_STEP)
    if reading.state is not State.GOOD or not reading.value:
        note = "no volts were read on the winding"
        yield StepDone(
            unreadable_result(_STEP, _LABEL, "power", fed.name, "W", reading, basis=rules["basis"], note=note)
        )
        return
    components = wattmeter.accuracy.components(
        typed.value, resolution=typed.resolution, span=None, shared=wattmeter.name, own=f"{wattmeter.name}:{_STEP}"
    )
    power = Estimate(typed.value, {one.source: one.u * one.sensitivity for one in components})
    ohms = fed.resistance if fed.resistance is not None and math.isfinite(fed.resistance) else 0.0
    read = _exciting_as_read(context, reading.value)
    copper = (curve.current_at(reading.value) if read is None else read) ** 2 * ohms
    core = (power - copper).also("I2R of the winding", copper * (0.5 if read is None else _U_COPPER))
    # A doubt in the volts is a doubt in the watts that are due there.
    core = core.also("volts on the winding", 2 * core.value * Estimate.of(reading).relative)
    yield StepDone(judge_watts(context, curve, core, reading.value, _LABEL, (reading,), raw))


def _exciting_as_read(context: Context, volts: float) -> float | None:
    """Exciting current [A] at these volts as it was read, straight between points in logarithms; None beyond them."""
    points = sorted(
        (one.at_volts, one.measured)
        for one in context.results
        if one.quantity == "current_ac" and one.id.startswith("exciting:") and one.verdict is not Verdict.TROUBLE
        if one.at_volts and one.measured is not None and one.measured > 0
    )
    for (v0, i0), (v1, i1) in itertools.pairwise(points):
        if v0 <= volts <= v1 and v0 < v1:
            return float(i0 * (i1 / i0) ** (math.log(volts / v0) / math.log(v1 / v0)))
    return None


def judge_watts(
    context: Context,
    curve: ExcitingCurve,
    core: Estimate,
    volts: float,
    label: str,
    readings: tuple[Reading, ...],
    typed: str = "",
) -> StepResult:
    """The core's watts [W] at `volts` on the winding, judged; far too many bar the mains that would follow."""
    rules, fed = context.rules[_STEP], context.expectation.fed_span
    expected = curve.watts_at(volts)
    upper = expected * math.exp(COVERAGE * curve.u_log_watts_at(volts))
    result = judge(
        _STEP,
        label,
        "power",
        fed.name,
        "W",
        core,
        lower=None,
        upper=upper,
        basis=rules["basis"],
        expected=expected,
        readings=readings,
        at_volts=volts,
    )
    doubted = "range and current coil of the wattmeter?" if typed else "three voltages of one circuit, on one range?"
    result = unless_next_to_nothing(result, doubted)
    if typed:
        result = replace(result, note="; ".join(note for note in (result.note, f"typed {typed!r}") if note))
    if result.verdict is Verdict.REJECTED:
        context.gates.append(
            f"the core takes {core.value:.3g} W where {expected:.3g} W are due: signs of a shorted turn"
        )
    return result
