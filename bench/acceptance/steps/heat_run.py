"""The heat run: rated loads until the core gets no warmer, then the ohms of the winding while it cools."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.cooling import AtSwitchOff
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.heat_limit import HeatRule, heat_rule
from bench.acceptance.judging import judge, unreadable_result
from bench.acceptance.load_bank import LoadChoice, choose_load, pieces
from bench.acceptance.requests import Confirm, Connect, Enter, Request, Skipped, StepDone, Wait
from bench.acceptance.result import StepResult
from bench.acceptance.steps.load import choice_for, hang, rated_loads
from bench.acceptance.steps.resistance import ohms_quantity
from bench.estimate import Estimate
from bench.job.expectation import Span
from bench.job.procedure_file import Stage
from bench.quantities import Dimension
from drivers.reading import Quantity, Reading, State

ABOUT = About(
    words="rated load until it gets no warmer, then the rise by resistance",
    mains=True,
    feeds=True,
    rules_out=("wire_wrong", "joint_poor"),
    guards=("conditions", "resistance", "insulation", "first_power"),
    minutes=240.0,
    stages=(Stage.AFTER_VARNISH,),
)

_COPPER_ZERO = 234.5
"""Degrees below 0 degC at which the line of copper's resistance ends (EN 61558-1 clause 14.2)."""
_KELVIN = 273.15
_U_AIR = 1.0  # of the thermometer in the air, K: common practice, no source
_AIR = (253.15, 323.15)
_CORE = (253.15, 473.15)


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_id(context), _label(context), required=False)]


def run(context: Context) -> Steps:
    """Load, warm up, switch off, read ohms and moments; the rise is that at the moment of switching off."""
    step, span = _id(context), _span(context)
    cold = next((one for one in context.results if one.id == f"resistance:{span.name}"), None)
    if cold is None or cold.measured is None or cold.verdict is Verdict.TROUBLE:
        context.skip(step, f"the cold resistance of {span.name} was not read in this test", required=False)
        return
    rule = heat_rule(context.rules, context.job.targets.temperature_class)
    try:
        yield from _load_all(context, step)
        settled = yield from _warm_up(context, step, rule)
        ask = Enter(
            step,
            Quantity.TEMPERATURE,
            "Temperature of the air, a metre from the unit and as high.",
            "degC",
            place="air",
        )
        air, _ = yield from entered(ask, Dimension.TEMPERATURE, *_AIR)
        readings = yield from _cool_down(context, step, span)
    except Skipped as reason:
        context.skip(step, str(reason), required=False)
    else:
        yield StepDone(_judge(context, span, cold, readings, air.value, settled, rule))
    yield from context.switch_off(step)
    yield from context.unload(step)


def _load_all(context: Context, step: str) -> Steps:
    rated = rated_loads(context)
    left = [one.name for one in context.job.secondaries if one.name not in rated]
    if left or not rated:
        raise Skipped(f"no rated load is known of {', '.join(left) or 'any winding'}: its warmth would be left out")
    shelf = pieces(context.equipment.load_resistors)
    chosen: dict[str, LoadChoice] = {}
    for name, ohms in rated.items():
        volts = context.expectation.voltage * abs(context.expectation.ratio(name))
        own = choose_load(shelf, ohms, volts, context.rules["load"]["resistor_within"])
        chosen[name] = own or (yield from choice_for(context, step, name, ()))
        shelf = tuple(one for one in shelf if one not in chosen[name].used)
    for name, load in chosen.items():
        yield from hang(context, step, name, load)


def _warm_up(context: Context, step: str, rule: HeatRule) -> Generator[Request, Any, bool]:
    """Whether the core got no warmer in the last round; without a thermometer nobody knows."""
    rules = context.rules["heat_run"]
    seconds = float(rules["round_seconds"])
    still = rules["settled_per_hour"] * seconds / 3600
    fed = context.expectation.fed_span
    most = int(rules["most_rounds"])
    # The supply of the rule is set while the loads are on: so the standard has it, from memory.
    feed = context.feed(step, rule.supply * context.expectation.voltage, "variac")
    yield Confirm(
        step,
        f"Rated loads on, {feed.volts:.0f} V on {fed.name}, round by round until the core gets no warmer: some hours. "
        "On a surface that does not burn, a thermometer fixed to the core and read from where nobody touches the unit.",
        context.cautions.of(Hazard.MAINS, Hazard.HIGH_VOLTS, Hazard.LOAD_HEAT, Hazard.ATTENDED),
    )
    before: float | None = None
    for number in range(1, most + 1):
        yield from context.excite(feed)
        told = f"Heat run, round {number} of at most {most}: leave it on load."
        yield Wait(step, seconds, told, context.cautions.of(Hazard.ATTENDED))
        try:
            ask = Enter(
                step, Quantity.TEMPERATURE, "Temperature of the core, from where you stand.", "degC", place="core"
            )
            typed, _ = yield from entered(ask, Dimension.TEMPERATURE, *_CORE)
        except Skipped:
            before = None
            continue
        if before is not None and abs(typed.value - before) <= still + typed.resolution / 2:
            return True
        before = typed.value
    return False


def _cool_down(context: Context, step: str, span: Span) -> Generator[Request, Any, list[tuple[float, Reading]]]:
    """Seconds after switching off, and ohms, one after the other."""
    rules, by_hand = context.rules["heat_run"], context.equipment.by_hand
    number, apart = int(rules["readings"]), float(rules["apart_seconds"])
    written = (
        f" Write down {number} pairs of seconds since then and ohms, the first as soon as you can, and type them "
        "afterwards."
        if by_hand
        else ""
    )
    yield Confirm(
        step,
        f"Ohmmeter ready beside {span.name}. Next: volts to zero, unplug, both feed wires off {span.name}, ohmmeter on "
        f"at once.{written}",
    )
    yield from context.switch_off(step)
    off = yield from context.take(step, Quantity.TIME, None)
    quantity = ohms_quantity(context, span)
    expected = None if span.resistance is None else 1.2 * span.resistance
    yield from context.connect(
        Connect(
            step,
            quantity,
            span.from_terminal,
            span.to_terminal,
            winding=span.winding,
            text=f"At once: unplugged, feed wires off, ohmmeter on {span.name}.",
            cautions=context.cautions.of(Hazard.KICK),
            expected=expected,
        )
    )
    found: list[tuple[float, Reading]] = []
    for count in range(number):
        if by_hand:
            ask = Enter(step, Quantity.TIME, f"Reading {count + 1}: seconds after switching off.", "s")
            typed, _ = yield from entered(ask, Dimension.TIME, highest=rules["latest_seconds"])
            found.append((typed.value, (yield from context.take(step, quantity, expected))))
            continue
        if count:
            yield Wait(step, apart, "Ohmmeter on, nothing touched.")
        reading = yield from context.take(step, quantity, expected)
        if reading.state is State.OVERLOAD:
            reading = yield from context.take(step, quantity, None)
        found.append((reading.monotonic - off.monotonic, reading))
    return found


def _judge(
    context: Context,
    span: Span,
    cold: StepResult,
    readings: list[tuple[float, Reading]],
    air: float,
    settled: bool,
    rule: HeatRule,
) -> StepResult:
    rules = context.rules["heat_run"]
    step, label = _id(context), _label(context)
    good = [
        (seconds, one)
        for seconds, one in sorted(readings, key=lambda pair: pair[0])
        if one.state is State.GOOD and 0 < seconds <= rules["latest_seconds"]
    ]
    problem = ""
    hot: Estimate | None = None
    if len(good) < rules["least_readings"]:
        problem = (
            f"{len(good)} readings within {rules['latest_seconds']:g} s, expected {rules['least_readings']} or more"
        )
    else:
        try:
            hot = _at_switch_off(context, good, context.lead_ohms.get(good[0][1].quantity, Estimate(0.0)))
        except ValueError as error:
            problem = str(error)
    if hot is None:
        result = unreadable_result(
            step, label, "temperature", span.name, "K rise", readings[-1][1], basis=rule.basis, note=problem
        )
        return replace(result, required=False)
    assert cold.measured is not None
    cold_ohms = Estimate(cold.measured, {c.source: c.u * c.sensitivity for c in cold.components})
    # Rise = R2 / R20 (x + 20) - x - t2: the drift of the air since the cold reading is in t2.
    winding = (hot / cold_ohms) * (_COPPER_ZERO + 20.0) - _COPPER_ZERO
    rise = (winding - (air - _KELVIN)).also("thermometer in the air", _U_AIR)
    result = judge(
        step, label, "temperature", span.name, "K rise", rise,
        lower=None, upper=rule.rise, basis=rule.basis, readings=tuple(one for _, one in good),
        at_volts=rule.supply * context.expectation.voltage,
    )  # fmt: skip
    told = (
        f"{span.name} at {winding.value:.0f} °C when it was switched off, air {air - _KELVIN:.1f} °C; the mean of this "
        "winding, its hottest spot is warmer, and the other windings need a run each"
    )
    verdict = result.verdict
    if not settled:
        told += "; not known to have got as warm as it gets"
        if verdict is Verdict.ACCEPTED:
            verdict = Verdict.UNDECIDED
    note = f"{result.note}; {told}" if result.note else told
    return replace(result, required=False, verdict=verdict, note=note)


def _at_switch_off(context: Context, good: list[tuple[float, Reading]], zero: Estimate) -> Estimate:
    """Ohms at the moment of switching off; what all readings share (gain, zero) stays by its source."""
    if context.cooling is None:
        raise ValueError("nothing here works out a cooling curve")
    each = [Estimate.of(reading) - zero for _, reading in good]
    shared = set.intersection(*(set(one.parts) for one in each))
    alone = [math.sqrt(sum(u**2 for source, u in one.parts.items() if source not in shared)) for one in each]
    u_reading = max(math.sqrt(sum(u**2 for u in alone) / len(alone)), 1e-6 * each[0].value)
    times = [seconds for seconds, _ in good]
    found: AtSwitchOff = context.cooling(times, [one.value for one in each], u_reading)
    scale = found.resistance / each[0].value
    hot = Estimate(found.resistance, {source: each[0].parts[source] * scale for source in shared})
    rules = context.rules["heat_run"]
    u_moment = rules["u_written_down_seconds" if context.equipment.by_hand else "u_switch_off_seconds"]
    falling = max(0.0, found.resistance - each[0].value) / times[0]
    return hot.also("cooling curve", found.u).also("moment of switching off", falling * u_moment)


def _span(context: Context) -> Span:
    """The primary, or its first section where it is tapped: the winding that the ohmmeter reaches first."""
    return next(one for one in context.measured_spans() if one.winding == context.expectation.fed)


def _id(context: Context) -> str:
    return f"heat_run:{_span(context).name}"


def _label(context: Context) -> str:
    return f"rise of {_span(context).name} on load, by resistance"
