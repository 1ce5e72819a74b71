"""What is seen and counted before anything is measured: leads, core, screens; turns as they were wound."""

from __future__ import annotations

import math
from dataclasses import replace

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps, Wound
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Skipped, StepDone
from bench.acceptance.result import StepResult
from drivers.reading import State

ABOUT = About(
    words="look at leads, core and screens; turns as wound against the design",
    rules_out=("turns_wrong", "screen_closed"),
    guards=("conditions",),
    minutes=2.0,
    minutes_each=1.0,
)

_LEADS = (
    "Leads: each anchored, and each stays where it is under a steady pull of the hand; sleeved where it crosses a "
    "winding, no bare copper near core, cheek or another lead. Skip with what is wrong, where something is."
)
_CORE = (
    "Core: laminations pushed home, none left over that came out; bolts in their insulating tubes and washers; a "
    "closed band, where there is one, round the outside of core and coil and never inside between windings."
)


def plan(context: Context) -> list[PlannedStep]:
    seen = [PlannedStep(step, label, required=True) for step, label, _ in _looks(context)]
    counted = [PlannedStep(_id(name), _label(name), required=False) for name in _counted(context)]
    return seen + counted


def run(context: Context) -> Steps:
    """What is seen is said with a word; what is wrong is the reason of a skip, and stands in the result."""
    for step, label, text in _looks(context):
        try:
            yield Confirm(step, text)
        except Skipped as reason:
            context.skip(step, str(reason))
            continue
        yield StepDone(StepResult(step, label, "look", "", None, State.GOOD, "", Verdict.ACCEPTED, note="seen"))
    for name in _counted(context):
        if not math.isfinite(context.wound[name].low) or not math.isfinite(context.wound[name].high):
            context.skip(_id(name), "the count broke off on the way: nothing bounds it", required=False)
            continue
        result = _count(context, name, context.wound[name])
        yield StepDone(result)
        if result.verdict is Verdict.UNDECIDED:
            try:
                yield Confirm(_id(name), f"{result.note} Nothing is fed yet: go on to find out by volts.")
            except Skipped as reason:
                context.gates.append(f"{name} was counted otherwise than designed, and that was not settled: {reason}")


def _looks(context: Context) -> list[tuple[str, str, str]]:
    """Step, label and what to look at."""
    looks = [("look:leads", "leads anchored", _LEADS), ("look:core", "core, bolts and band", _CORE)]
    for screen in context.job.screen:
        ends = (
            f"{screen.name}: its two ends overlap and do not touch, with insulation between them that looks out on all "
            "sides; no solder, no adhesive that conducts, reaches across. Where it can't be seen any more: as the "
            "winding record and its photograph say."
        )
        looks.append((f"look:{screen.name}", f"ends of {screen.name} apart", ends))
    return looks


def _counted(context: Context) -> list[str]:
    return [one.name for one in context.job.winding if one.name in context.wound]


def _count(context: Context, name: str, wound: Wound) -> StepResult:
    """A count that disagrees is no proof against the unit: the volts tell which of the two is wrong."""
    rules = context.rules["counts"]
    design = abs(context.expectation.spans[name].turns)
    half = (wound.high - wound.low) / 2
    result = StepResult(
        _id(name), _label(name), "turns_counted", name, wound.turns, State.GOOD, "turns", Verdict.ACCEPTED,
        required=False, expected=design, u=half / 3**0.5,
        lower=design - rules["turns"], upper=design + rules["turns"], basis=rules["basis"],
    )  # fmt: skip
    if wound.low - rules["turns"] <= design <= wound.high + rules["turns"]:
        return result
    counted = f"{wound.turns:g}" if half == 0 else f"{wound.low:g} to {wound.high:g}"
    why = (
        f"{name}: {counted} turns were counted, the design has {design:g}. Either the winding, or its count, or the "
        "job file is wrong: the ratio at low volts and at nominal decides."
    )
    return replace(result, verdict=Verdict.UNDECIDED, note=why)


def _id(winding: str) -> str:
    return f"counts:{winding}"


def _label(winding: str) -> str:
    return f"turns of {winding} as counted"
