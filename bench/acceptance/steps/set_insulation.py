"""Insulation of the whole equipment, before it meets mains."""

from __future__ import annotations

from dataclasses import replace

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Enter, Skipped, StepDone
from bench.acceptance.steps.equipment_tests import earthed, read_on_tester
from bench.job.procedure_file import Stage
from bench.quantities import Dimension, show
from drivers.reading import Quantity

ABOUT = About(
    words="insulation of the whole equipment",
    rules_out=("insulation_low",),
    guards=("refit",),
    minutes=4.0,
    stages=(Stage.IN_EQUIPMENT,),
)

_STEP = "set_insulation"
_LABEL = "insulation of the equipment"
_ERROR = 0.10  # half width of the error of a hand-held insulation tester, of reading; common practice, no source


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=True)]


def run(context: Context) -> Steps:
    """Mains switch on, plug out; both pins together."""
    rules = context.rules[_STEP]
    try:
        one = yield from earthed(context, _STEP)
        ask = Enter(
            _STEP,
            Quantity.INSULATION_RESISTANCE,
            "Insulation tester, 500 V dc, one minute: both mains pins together against "
            f"{'earth' if one else 'touchable metal'}, mains switch on, plug out. Filter capacitors to earth, if there "
            "are any, must bear it.",
            "Mohm",
            between=("mains pins", "metal"),
            cautions=context.cautions.of(Hazard.EQUIPMENT, Hazard.INSULATION_TESTER),
        )
        typed, text = yield from entered(ask, Dimension.RESISTANCE)
    except Skipped as reason:
        context.skip(_STEP, str(reason))
        context.gates.append("the insulation of the equipment was not measured")
        return
    estimate = read_on_tester(_STEP, typed, _ERROR)
    lower, basis = rules["class_one_ohm" if one else "class_two_ohm"], rules["basis_one" if one else "basis_two"]
    result = judge(_STEP, _LABEL, "insulation_resistance", "", "ohm", estimate, lower=lower, upper=None, basis=basis)
    if text.lstrip().startswith(">") and result.verdict is Verdict.REJECTED:
        note = f"more than {show(typed.value, 'ohm')} is all that this tester's range tells"
        result = replace(result, verdict=Verdict.UNDECIDED, probability=None, note=note)
    if result.verdict is Verdict.REJECTED:
        context.gates.append(f"insulation of the equipment is {typed.value / 1e6:.3g} Mohm")
    yield StepDone(result)
