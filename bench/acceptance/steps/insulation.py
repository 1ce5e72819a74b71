"""Insulation resistance, read on a tester and typed: always required, always before any mains."""

from __future__ import annotations

import itertools
from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Enter, Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from bench.quantities import Dimension, show
from drivers.reading import Quantity

ABOUT = About(
    words="insulation resistance of every winding and screen to all the rest",
    rules_out=("insulation_low",),
    guards=("conditions",),
    minutes=2.0,
    minutes_each=2.0,
)

# Half width of the error of a hand-held insulation tester, of reading; common practice, no source.
_TESTER_ERROR = 0.10


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_id(name), _label(name), required=True) for name in _bodies(context)]


def run(context: Context) -> Steps:
    """Each body to all the rest bounds every pair that it is part of from below.

    A pair can only be low where both its bodies are, or the other is the core, or one that was not read: those pairs
    are read by themselves, to name the one.
    """
    low: list[str] = []
    unread: list[str] = []
    for name in _bodies(context):
        try:
            result = yield from _one(context, name)
        except Skipped as reason:
            unread.append(name)
            context.skip(_id(name), str(reason))
            context.gates.append(f"insulation of {name} was not measured")
            continue
        # "More than" what a tester's range ends at tells of no pair.
        if result.verdict is not Verdict.ACCEPTED and result.probability is not None:
            low.append(name)
    pairs = [*itertools.combinations(low, 2), *itertools.product(low, [*unread, "core"])]
    for one, other in pairs:
        try:
            yield from _pair(context, one, other)
        except Skipped as reason:
            context.skip(f"insulation:{one}-{other}", f"{reason}: which pair is low is not told", required=False)


def _bodies(context: Context) -> list[str]:
    return [winding.name for winding in context.job.winding] + [screen.name for screen in context.job.screen]


def _one(context: Context, name: str) -> Generator[Request, Any, StepResult]:
    others = "all other windings"
    others += ", every screen" if context.job.screen else ""
    others += ", core and band" if context.job.core.band else " and core"
    where = f"{name} against all the rest: {others} tied together"
    if any(screen.name == name for screen in context.job.screen):
        where += f"; {name} is off the earth for it"
    result = yield from _read(context, _id(name), _label(name), name, (name, "rest"), where)
    if result.measured is not None and result.measured < context.rules["insulation"]["refuse_ohm"]:
        context.gates.append(f"insulation of {name} is {result.measured / 1e6:.3g} Mohm")
    return result


def _pair(context: Context, one: str, other: str) -> Steps:
    core = " (band tied to it)" if other == "core" and context.job.core.band else ""
    where = f"{one} against {other}{core} alone, all the rest left open"
    step, label = f"insulation:{one}-{other}", f"insulation between {one} and {other}"
    yield from _read(context, step, label, f"{one}-{other}", (one, other), where)


def _read(
    context: Context, step: str, label: str, winding: str, between: tuple[str, str], where: str
) -> Generator[Request, Any, StepResult]:
    """Asks for one value and judges it."""
    rules = context.rules["insulation"]
    ask = Enter(
        step,
        Quantity.INSULATION_RESISTANCE,
        f"Insulation tester, 500 V dc, one minute: {where}.",
        "Mohm",
        between=between,
        cautions=context.cautions.of(Hazard.INSULATION_TESTER),
    )
    typed, text = yield from entered(ask, Dimension.RESISTANCE)
    estimate = Estimate(
        typed.value,
        {f"{step}:tester": _TESTER_ERROR / 3**0.5 * typed.value, f"{step}:digit": typed.resolution / 12**0.5},
    )
    result = judge(
        step,
        label,
        "insulation_resistance",
        winding,
        "ohm",
        estimate,
        lower=rules["minimum_ohm"],
        upper=None,
        basis=rules["basis"],
    )
    if text.lstrip().startswith(">") and result.verdict is Verdict.REJECTED:
        note = f"more than {show(typed.value, 'ohm')} is all that this tester's range tells"
        result = replace(result, verdict=Verdict.UNDECIDED, probability=None, note=note)
    yield StepDone(result)
    return result


def _id(name: str) -> str:
    return f"insulation:{name}"


def _label(name: str) -> str:
    return f"insulation of {name} to all the rest"
