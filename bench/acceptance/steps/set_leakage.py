"""Leakage current of the whole equipment on mains, read on a tester and typed."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Enter, Skipped, StepDone
from bench.acceptance.steps.equipment_tests import earthed, read_on_tester
from bench.job.procedure_file import Stage
from bench.quantities import Dimension
from drivers.reading import Quantity

ABOUT = About(
    words="leakage current of the equipment on mains",
    mains=True,
    rules_out=("insulation_low",),
    guards=("refit", "earth_bond", "set_insulation"),
    minutes=4.0,
    stages=(Stage.IN_EQUIPMENT,),
)

_STEP = "set_leakage"
_LABEL = "leakage current of the equipment"
_ERROR = 0.10  # half width of the error of a leakage tester, of reading; common practice, no source


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=True)]


def run(context: Context) -> Steps:
    """Both ways round in the socket, the larger of the two."""
    rules = context.rules[_STEP]
    try:
        one = yield from earthed(context, _STEP)
        ask = Enter(
            _STEP,
            Quantity.LEAKAGE_CURRENT,
            f"Leakage tester, equipment on at {context.expectation.voltage:.0f} V, "
            f"{'in the earth wire' if one else 'from touchable metal to earth'}, plug both ways round: the larger.",
            "mA",
            between=("mains", "metal"),
            cautions=context.cautions.of(Hazard.MAINS, Hazard.ATTENDED),
        )
        typed, _ = yield from entered(ask, Dimension.CURRENT, lowest=-1e-9, highest=1.0)
    except Skipped as reason:
        context.skip(_STEP, str(reason))
        return
    estimate = read_on_tester(_STEP, typed, _ERROR)
    upper, basis = rules["class_one_ampere" if one else "class_two_ampere"], rules["basis_one" if one else "basis_two"]
    yield StepDone(judge(_STEP, _LABEL, "leakage_current", "", "A", estimate, lower=None, upper=upper, basis=basis))
