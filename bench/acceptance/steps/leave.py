"""The end: nothing open, nothing loose, and the new rating on the unit."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.job.procedure_file import Stage
from drivers.reading import State

ABOUT = About(
    words="left earthed, covered and labelled",
    minutes=3.0,
    stages=(Stage.IN_EQUIPMENT,),
)

_STEP = "leave"
_LABEL = "left earthed, covered, labelled"


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=True)]


def run(context: Context) -> Steps:
    supply = context.expectation
    try:
        yield Confirm(
            _STEP,
            "Unplugged. Earth, core, screen and metal joined as they were, all covers on; label with "
            f"{supply.voltage:.0f} V, {supply.frequency:g} Hz, date and number on the unit.",
        )
    except Skipped as reason:
        context.skip(_STEP, str(reason))
        return
    yield StepDone(StepResult(_STEP, _LABEL, "own", "", None, State.GOOD, "", Verdict.ACCEPTED, note="done"))
