"""Half an hour on power without load: what grows meanwhile, in current, in warmth, to ear and nose."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered, noticed, span_text
from bench.acceptance.judging import judge, unreadable_result
from bench.acceptance.one_sitting import both_in_one_sitting
from bench.acceptance.requests import Connect, Enter, Excite, Request, Skipped, StepDone, Wait
from bench.acceptance.result import StepResult
from bench.acceptance.steps.spans_by_volts import read_span
from bench.estimate import Estimate
from bench.quantities import Dimension, Typed
from drivers.reading import Quantity, Reading, State

ABOUT = About(
    words="half an hour without load: current, warmth, hum and smell at its start and its end",
    mains=True,
    feeds=True,
    rules_out=("turns_shorted", "laminations_bridged"),
    guards=("conditions", "insulation", "first_power"),
    minutes=36.0,
)

_CURRENT = "soak:current"
_WARMTH = "soak:temperature"
_SENSES = "soak:senses"
_LABELS = {
    _CURRENT: "growth of exciting current in the soak",
    _WARMTH: "warming of the core in the soak",
    _SENSES: "smell, smoke, hum",
}
# How well the volts on the winding are the same at two readings of which each has its own reading of them.
_U_REPEAT = 0.003
_CORE = (253.15, 473.15)


def plan(context: Context) -> list[PlannedStep]:
    wanted = [_CURRENT, _WARMTH, _SENSES] if _reads_current(context) else [_WARMTH, _SENSES]
    return [PlannedStep(step, _LABELS[step], required=False) for step in wanted]


def run(context: Context) -> Steps:
    """Readings, then the time, then the same readings: nothing is moved while the time passes."""
    seconds = float(context.rules["soak"]["seconds"])
    reads = _reads_current(context)
    if not reads:
        why = (
            "no exciting curve" if context.expectation.curve is None else "this meter does not read alternating current"
        )
        context.skip(_CURRENT, f"{why}: only warmth, hum and smell are told", required=False)
    try:
        warmth = yield from _temperature(context, "before the volts come up")
        first = last = None
        if reads:
            first = yield from both_in_one_sitting(context, lambda: _volts(context), lambda: _amps(context))
        while True:
            yield from context.excite(_feed(context))
            yield Wait(
                "soak",
                seconds,
                "Leave it on without load. Listen, smell, feel nothing: it is live.",
                context.cautions.of(Hazard.MAINS, Hazard.ATTENDED),
            )
            waited_in = context.sitting
            if reads:
                amps = yield from _amps(context)  # first, with nothing moved since
                last = (yield from _volts(context)), amps
            if context.sitting == waited_in:
                break  # else it was off in between, and is to stand the time in one go
        yield from context.switch_off("soak")
        hot = yield from _temperature(context, "now, at once, with the volts at zero")
        if context.sitting != waited_in and hot is not None:
            context.skip(_WARMTH, "the test was broken off before it was read: it has cooled since", required=False)
            hot = None
        ask = Enter(
            _SENSES,
            Quantity.NOTICED,
            f"In the {span_text(seconds)}: smoke, smell, a hum that grew? Type good, or what you noticed.",
            "good, or in words",
        )
        told = yield from noticed(ask)
    except Skipped as reason:
        for step in plan(context):
            context.skip(step.id, str(reason), required=False)
        yield from context.switch_off("soak")
        return
    if first is not None and last is not None:
        yield StepDone(_grown(context, first, last))
    if warmth is not None and hot is not None:
        yield StepDone(_warmer(context, warmth, hot))
    yield StepDone(_sensed(context, told))


def _reads_current(context: Context) -> bool:
    return context.expectation.curve is not None and Quantity.CURRENT_AC in context.equipment.quantities


def _temperature(context: Context, when: str) -> Generator[Request, Any, Typed | None]:
    """By hand, where there is a thermometer."""
    ask = Enter(_WARMTH, Quantity.TEMPERATURE, f"Temperature of the core, {when}.", "degC", place="core")
    try:
        typed, _ = yield from entered(ask, Dimension.TEMPERATURE, *_CORE)
    except Skipped as reason:
        if all(one.id != _WARMTH for one in context.not_done):
            context.skip(_WARMTH, str(reason), required=False)
        return None
    return typed


def _feed(context: Context) -> Excite:
    return context.feed("soak", context.expectation.voltage, "variac")


def _volts(context: Context) -> Generator[Request, Any, Reading]:
    fed = context.expectation.fed_span
    return (yield from read_span(context, _CURRENT, fed, _feed(context), f"Voltmeter on {fed.name}."))


def _amps(context: Context) -> Generator[Request, Any, Reading]:
    fed, curve, feed = context.expectation.fed_span, context.expectation.curve, _feed(context)
    assert curve is not None
    yield from context.connect(
        Connect(
            _CURRENT,
            Quantity.CURRENT_AC,
            "supply.live",
            fed.from_terminal,
            winding=fed.winding,
            text=f"Ammeter in place of the wire from the supply to {fed.from_terminal}.",
            expected=curve.current_at(feed.volts),
        )
    )
    yield from context.excite(feed)
    # One range at both ends, so that its gain is in both: the one that the exciting current was read on.
    return (yield from context.take(_CURRENT, Quantity.CURRENT_AC, 2.5 * curve.current_at(1.1 * feed.volts), samples=2))


def _grown(context: Context, first: tuple[Reading, Reading], last: tuple[Reading, Reading]) -> StepResult:
    rules, curve, fed = context.rules["soak"], context.expectation.curve, context.expectation.fed
    assert curve is not None
    bad = next((one for one in (*first, *last) if one.state is not State.GOOD or not one.value or one.value < 0), None)
    if bad is not None:
        return _optional(
            unreadable_result(
                _CURRENT, _LABELS[_CURRENT], "fraction", fed, "share", bad, basis=rules["current_basis"],
                note="volts or current before or after could not be read",
            )
        )  # fmt: skip
    (v0, i0), (v1, i1) = ((Estimate.of(v), Estimate.of(i)) for v, i in (first, last))
    slope = curve.slope_at(v0.value)
    # To the same volts, by the design's curve; what the volts are not known to, the slope makes of the current.
    due = curve.current_at(v1.value) / curve.current_at(v0.value)
    share = i1 / i0 * (1 / due) - 1.0
    apart = slope * (v1 / v0).u / (v1.value / v0.value)
    grown = share.also("volts", apart).also("volts set twice", slope * _U_REPEAT * 2**0.5)
    return _optional(
        judge(
            _CURRENT, _LABELS[_CURRENT], "fraction", fed, "share", grown,
            lower=None, upper=rules["current_rise"], basis=rules["current_basis"], expected=0.0,
            readings=(*first, *last), at_volts=v0.value,
        )
    )  # fmt: skip


def _warmer(context: Context, before: Typed, after: Typed) -> StepResult:
    rules = context.rules["soak"]
    # A thermometer on a surface, the same twice: a kelvin each.
    rise = Estimate(after.value - before.value, {"thermometer": 1.0 * 2**0.5})
    return _optional(
        judge(
            _WARMTH, _LABELS[_WARMTH], "temperature", "", "K rise", rise,
            lower=None, upper=rules["temperature_rise"], basis=rules["temperature_basis"],
        )
    )  # fmt: skip


def _sensed(context: Context, told: str) -> StepResult:
    return StepResult(
        _SENSES, _LABELS[_SENSES], "noticed", "", None, State.GOOD, "",
        Verdict.REJECTED if told else Verdict.ACCEPTED,
        required=False, basis=context.rules["soak"]["senses_basis"], note=told or "nothing noticed",
    )  # fmt: skip


def _optional(result: StepResult) -> StepResult:
    return replace(result, required=False)
