"""What was read before varnish and again now: a change that both readings' doubts leave standing is a sign."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.before_after import Compared, compare, compares
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.requests import StepDone
from bench.acceptance.result import StepResult
from bench.job.procedure_file import Stage
from drivers.reading import State

ABOUT = About(
    words="each reading beside the same one before varnish",
    rules_out=("insulation_low", "turns_shorted", "laminations_bridged", "core_gap"),
    minutes_each=0.0,
    stages=(Stage.AFTER_VARNISH,),
)


def plan(context: Context) -> list[PlannedStep]:
    return [
        PlannedStep(_id(before.id), _label(before.id), required=False)
        for before in context.before.values()
        if compares(before.id) and before.measured is not None
    ]


def run(context: Context) -> Steps:
    """Nothing is asked: the readings are there."""
    if not context.before:
        context.skip("change", "no test before varnish is recorded: nothing to compare with", required=False)
        return
    earlier = [one.as_json() for one in context.before.values()]
    found = {one.id: one for one in compare(earlier, [one.as_json() for one in context.results])}
    for step in plan(context):
        one = found.get(step.id.removeprefix("change:"))
        if one is None:
            context.skip(step.id, "not read again", required=False)
            continue
        yield StepDone(_judged(context, one))


def _judged(context: Context, one: Compared) -> StepResult:
    """A sign rejects, unless it may yet mend; what the doubts leave open is no sign."""
    verdict = Verdict.ACCEPTED
    if one.sign:
        verdict = Verdict.UNDECIDED if one.mends else Verdict.REJECTED
    winding = one.id.partition(":")[2] if not one.id.startswith("exciting:") else context.expectation.fed
    return StepResult(
        _id(one.id),
        _label(one.id),
        "change",
        winding,
        one.change,
        State.GOOD,
        "share",
        verdict,
        required=False,
        expected=None,
        u=one.uncertainty / COVERAGE,
        lower=one.lower,
        upper=one.upper,
        basis=context.rules["change"]["basis"],
        note=f"{one.words}{': ' + one.sign if one.sign else ''}",
    )


def _label(step: str) -> str:
    kind, _, name = step.partition(":")
    words = {"exciting": "exciting current", "ratio": "turns by ratio", "core_watts": "core watts"}.get(kind, kind)
    of = f"{name} %" if kind == "exciting" else name
    return f"change of {words}, {of}" if of else f"change of {words}"


def _id(step: str) -> str:
    return f"change:{step}"
