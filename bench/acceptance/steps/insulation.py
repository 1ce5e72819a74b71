"""Insulation resistance, read on a tester and typed: always required, always before any mains."""

from __future__ import annotations

from dataclasses import replace

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Enter, Skipped, StepDone
from bench.estimate import Estimate
from bench.quantities import Dimension, show
from drivers.reading import Quantity

ABOUT = About(
    words="insulation resistance of every winding to all the rest",
    rules_out=("insulation_low",),
    guards=("conditions",),
    minutes=2.0,
    minutes_each=2.0,
)

# Half width of the error of a hand-held insulation tester, of reading; common practice, no source.
_TESTER_ERROR = 0.10


def plan(context: Context) -> list[PlannedStep]:
    return [
        PlannedStep(f"insulation:{winding.name}", _label(winding.name), required=True)
        for winding in context.job.winding
    ]


def run(context: Context) -> Steps:
    for winding in context.job.winding:
        try:
            yield from _one(context, winding.name)
        except Skipped as reason:
            context.skip(f"insulation:{winding.name}", str(reason))
            context.gates.append(f"insulation of {winding.name} was not measured")


def _one(context: Context, winding: str) -> Steps:
    rules = context.rules["insulation"]
    step = f"insulation:{winding}"
    ask = Enter(
        step,
        Quantity.INSULATION_RESISTANCE,
        f"Insulation tester, 500 V dc, one minute: {winding} against all the rest, screen and core tied together.",
        "Mohm",
        between=(winding, "rest"),
        cautions=context.cautions.of(Hazard.INSULATION_TESTER),
    )
    typed, text = yield from entered(ask, Dimension.RESISTANCE)
    estimate = Estimate(
        typed.value,
        {f"{step}:tester": _TESTER_ERROR / 3**0.5 * typed.value, f"{step}:digit": typed.resolution / 12**0.5},
    )
    result = judge(
        step,
        _label(winding),
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
    if typed.value < rules["refuse_ohm"]:
        context.gates.append(f"insulation of {winding} is {typed.value / 1e6:.3g} Mohm")
    yield StepDone(result)


def _label(winding: str) -> str:
    return f"insulation of {winding} to all the rest"
