"""A look for a shorted turn before any mains: the watts of the core at a few volts, from three voltages."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.judging import (
    judge,
    unless_next_to_nothing,
    unreadable_result,
)
from bench.acceptance.requests import Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.second_look import looked_at_twice
from bench.acceptance.shorted_turn import closed_turns
from bench.acceptance.three_voltages import core_power, read_three, series_current
from bench.estimate import Estimate
from bench.quantities import show
from drivers.reading import Reading, State

ABOUT = About(
    words="watts of the core at a few volts: a shorted turn before any mains",
    feeds=True,
    rules_out=("turns_shorted", "screen_closed"),
    guards=("conditions", "resistance"),
    minutes=3.0,
)

_STEP = "low_watts"
_LABEL = "core watts at low volts"
_AMPS = "low_amps"
_AMPS_LABEL = "exciting current at low volts"
_NO_RESISTOR = (
    "no series resistor on this bench: nothing tells of a shorted turn before mains; about as many ohms as the winding "
    "has at these volts, {ohms}, will do"
)


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=False), PlannedStep(_AMPS, _AMPS_LABEL, required=False)]


def run(context: Context) -> Steps:
    """Only a clear sign stops here: what can't be told at so few volts is left to the core watts at 60 %."""
    curve, resistor = context.expectation.curve, context.equipment.series_ohms
    if curve is None:
        _leave(context, f"the job does not say {context.why_no_curve}")
        return
    if resistor is None:
        volts = context.most_low_volts()
        ohms = show(volts / curve.current_at(volts), "ohm", 1)
        _leave(context, _NO_RESISTOR.format(ohms=ohms))
        return
    amps: list[StepResult] = []
    try:
        result = yield from looked_at_twice(
            context,
            lambda text: _read(context, resistor, text, amps),
            "two things: leads, range, or a supply that drifts",
        )
    except Skipped as reason:
        _leave(context, f"{reason}: nothing tells of a shorted turn before mains")
        yield from context.switch_off(_STEP)
        return
    yield from context.switch_off(_STEP)
    if result.verdict is Verdict.REJECTED and result.measured is not None and result.expected is not None:
        took, due = show(result.measured, "W", 3), show(result.expected, "W", 3)
        context.gates.append(f"the core takes {took} at low volts where {due} are due: signs of a shorted turn")
    if result.verdict is Verdict.NOT_DONE:
        context.skip(f"{_STEP}:value", result.note, required=False)
    yield StepDone(result)
    if result.measured is not None and result.verdict is not Verdict.TROUBLE and amps:
        yield StepDone(amps[-1])
    else:
        context.skip(_AMPS, result.note, required=False)


def _leave(context: Context, reason: str) -> None:
    for step in (_STEP, _AMPS):
        context.skip(step, reason, required=False)


def _read(context: Context, resistor: float, text: str, amps: list[StepResult]) -> Generator[Request, Any, StepResult]:
    """The watts; the current of the same readings is added to `amps`, where they tell it."""
    feed = context.feed(_STEP, context.most_low_volts(), "low voltage", series_ohms=resistor)
    readings = yield from read_three(context, _STEP, resistor, feed, text)
    if all(one.state is State.GOOD and one.value for one in readings):
        amps.append(_amps(context, resistor, readings))
    return _judge(context, resistor, readings)


def _amps(context: Context, resistor: float, readings: list[Reading]) -> StepResult:
    """The exciting current at a few volts: no limit is set to it, the diagnosis tells loss from field by it."""
    curve, volts = context.expectation.curve, readings[0].value
    assert curve is not None
    assert volts is not None
    current = series_current(context, resistor, readings)
    return StepResult(
        _AMPS, _AMPS_LABEL, "current_ac", context.expectation.fed, current.value, State.GOOD,
        "A", Verdict.ACCEPTED, required=False, expected=curve.current_at(volts), u=current.u,
        components=current.components, at_volts=volts, raw=tuple(one.raw for one in readings),
        note="told by the resistor of the watts; no limit",
    )  # fmt: skip


def _judge(context: Context, resistor: float, readings: list[Reading]) -> StepResult:
    expectation, rules = context.expectation, context.rules[_STEP]
    curve, fed = expectation.curve, expectation.fed_span
    assert curve is not None
    bad = next((r for r in readings if r.state is not State.GOOD or r.value is None), None)
    winding = 0.0 if bad is not None or readings[0].value is None else readings[0].value
    if bad is not None or winding <= 0 or not readings[-1].value:
        note = "one of the three voltages could not be read: supply, leads or range"
        return unreadable_result(
            _STEP, _LABEL, "power", fed.name, "W", bad or readings[0], basis=rules["basis"], note=note
        )
    core = core_power(context, resistor, readings)
    expected = curve.watts_at(winding)
    u_log = math.hypot(expectation.u_log_drop, curve.u_log_watts_at(winding))
    upper = expected * math.exp(COVERAGE * u_log)
    result = judge(
        _STEP, _LABEL, "power", fed.name, "W", core, lower=None, upper=upper, basis=rules["basis"],
        expected=expected, readings=tuple(readings), at_volts=winding,
    )  # fmt: skip
    result = unless_next_to_nothing(result, "three voltages of one circuit, on one range?")
    if result.verdict in (Verdict.REJECTED, Verdict.TROUBLE):
        return result
    shown, hidden = _dead_turns(context, winding, upper + COVERAGE * core.u - expected)
    if result.verdict is Verdict.ACCEPTED and shown:
        rest = f"; not one of {', '.join(hidden)}, which the core watts at nominal decide" if hidden else ""
        return replace(result, note=f"a dead shorted turn of {', '.join(shown)} would show{rest}")
    note = f"whether a turn is shorted is not told here: {_what_would_tell(context, resistor, winding, upper, core)}"
    return replace(result, verdict=Verdict.NOT_DONE, probability=None, note=note)


def _dead_turns(context: Context, volts: float, more: float) -> tuple[list[str], list[str]]:
    """Where a dead shorted turn would take more than so many watts beyond the design, and where it would not."""
    turn = volts / abs(context.expectation.fed_span.turns)
    loops = closed_turns(context)
    shown = [name for name, ohms in loops.items() if turn**2 / ohms > more]
    return shown, [name for name in loops if name not in shown]


def _what_would_tell(context: Context, resistor: float, volts: float, upper: float, core: Estimate) -> str:
    """Another resistor, another meter, or only more volts: by what stands in the way."""
    curve = context.expectation.curve
    assert curve is not None
    loops = closed_turns(context)
    room = 0.0
    if loops:
        turn = volts / abs(context.expectation.fed_span.turns)
        room = turn**2 / min(loops.values()) - (upper - curve.watts_at(volts))
    if room <= 0:
        return "at so few volts no meter tells it from the core's own loss; the core watts at 60 % of nominal decide"
    impedance = volts / curve.current_at(volts)
    # Enough to show the turn, and to accept a unit exactly as designed.
    needed = min(room, upper - curve.watts_at(volts))
    at_most = needed / COVERAGE
    doubt = f"±{show(COVERAGE * core.u, 'W', 2)}"
    if COVERAGE * core.u > needed:
        told = f"these readings tell the watts to {doubt} where ±{show(needed, 'W', 2)} are needed"
    else:
        told = f"{show(core.value, 'W', 3)}, known to {doubt}, is too near the limit of {show(upper, 'W', 3)}"
    if not impedance / 4 <= resistor <= impedance * 4:
        return (
            f"{told}; a resistor of about {show(impedance, 'ohm', 1)} instead of {show(resistor, 'ohm', 2)} would tell"
        )
    # With as many volts on the resistor as on the winding, the power's doubt is about V u(V) / R times the root of 3.
    volts_to = at_most * resistor / (volts * 3**0.5)
    return f"{told}; a meter that reads {show(volts, 'V', 2)} to ±{show(COVERAGE * volts_to, 'V', 2)} would tell"
