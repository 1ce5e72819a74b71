"""Back in the equipment: the fuse for the new supply, and what must not be left as it was."""

from __future__ import annotations

from dataclasses import replace

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Confirm, Enter, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from bench.job.procedure_file import Stage
from bench.quantities import Dimension, show
from drivers.reading import Quantity, State

ABOUT = About(
    words="cautions; fuse value, voltage selector, leads against the photograph",
    cautioned=True,
    minutes=10.0,
    stages=(Stage.IN_EQUIPMENT,),
)

_FUSE = "fuse"
_SELECTOR = "selector"


def plan(context: Context) -> list[PlannedStep]:
    return [
        PlannedStep(_FUSE, "value of the fuse", required=True),
        PlannedStep(_SELECTOR, "voltage selector, switch, capacitors", required=True),
    ]


def run(context: Context) -> Steps:
    """A fuse of the old supply is twice too large on the new one."""
    yield Confirm(
        "refit",
        "Equipment unplugged. Leads on the tags of the photograph, screen and core earthed, nothing pinched.",
        context.cautions.of(Hazard.LOCAL_CODES, Hazard.EQUIPMENT),
    )
    yield from _fuse(context)
    try:
        yield Confirm(
            _SELECTOR,
            f"Voltage selector fixed at, or labelled for, {show(context.expectation.voltage, 'V', 3)}; switch, filter "
            "capacitors, motor and lamps are for that too.",
        )
    except Skipped as reason:
        context.skip(_SELECTOR, str(reason))
        return
    yield StepDone(
        StepResult(_SELECTOR, "voltage selector, switch, capacitors", "own", "", None, State.GOOD, "",
                   Verdict.ACCEPTED, note="done")
    )  # fmt: skip


def _fuse(context: Context) -> Steps:
    rules = context.rules["refit"]
    rated = rated_primary_current(context)
    fitting = None if rated is None else 1.25 * rated
    ask = Enter(_FUSE, Quantity.FUSE, "Value printed on the mains fuse that is in now.", "A", expected=fitting)
    try:
        typed, _ = yield from entered(ask, Dimension.CURRENT, highest=100.0)
    except Skipped as reason:
        context.skip(_FUSE, str(reason))
        return
    if rated is None:
        note = "recorded, not judged: the job does not say the primary's rated current"
        yield StepDone(
            StepResult(
                _FUSE, "value of the fuse", "fuse", "", typed.value, State.GOOD, "A", Verdict.NOT_DONE, note=note
            )
        )
        context.skip(f"{_FUSE}:value", note)
        return
    result = judge(
        _FUSE, "value of the fuse", "fuse", "", "A", Estimate(typed.value),
        lower=None, upper=rules["most_over_rated"] * rated, basis=rules["basis"],
    )  # fmt: skip
    if result.verdict is Verdict.REJECTED:
        context.gates.append(f"a fuse of {show(typed.value, 'A', 3)} for {show(rated, 'A', 2)}")
        result = replace(result, note="too large a fuse lets a faulty unit burn")
    yield StepDone(result)


def rated_primary_current(context: Context) -> float | None:
    """As the job says; else what the rated secondaries draw together at the rated supply, losses left out."""
    primary = context.job.primary
    if primary is not None and primary.rated_current is not None:
        return primary.rated_current
    watts = [one.rated_voltage * one.rated_current for one in context.job.secondaries
             if one.rated_voltage and one.rated_current]  # fmt: skip
    if len(watts) < len(context.job.secondaries) or not watts:
        return None
    return sum(watts) / context.expectation.voltage
