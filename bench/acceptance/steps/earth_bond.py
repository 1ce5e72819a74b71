"""The earth of the equipment: from the pin of its plug to what can be touched, read on a tester and typed."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Enter, Skipped, StepDone
from bench.acceptance.steps.equipment_tests import earthed, read_on_tester
from bench.job.procedure_file import Stage
from bench.quantities import Dimension
from drivers.reading import Quantity

ABOUT = About(
    words="earth bond of the equipment",
    guards=("refit",),
    minutes=4.0,
    stages=(Stage.IN_EQUIPMENT,),
)

_STEP = "earth_bond"
_LABEL = "earth pin to touchable metal"
_ERROR = 0.05  # half width of the error of an earth tester, of reading; common practice, no source


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=True)]


def run(context: Context) -> Steps:
    """Class II has no earth: nothing to read, and none is required."""
    rules = context.rules[_STEP]
    try:
        if not (yield from earthed(context, _STEP)):
            context.skip(_STEP, "class II: no earth to read", required=False)
            return
        ask = Enter(
            _STEP,
            Quantity.EARTH_RESISTANCE,
            f"Earth tester ({rules['test']}): earth pin of the plug to touchable metal and to the core, the mains "
            "lead's own resistance taken off.",
            "ohm",
            between=("earth pin", "metal"),
            cautions=context.cautions.of(Hazard.EQUIPMENT),
        )
        typed, _ = yield from entered(ask, Dimension.RESISTANCE, lowest=-1e-6)
    except Skipped as reason:
        context.skip(_STEP, str(reason))
        context.gates.append("the earth of the equipment was not read")
        return
    estimate = read_on_tester(_STEP, typed, _ERROR)
    result = judge(
        _STEP, _LABEL, "earth_resistance", "", "ohm", estimate,
        lower=None, upper=rules["most_ohm"], basis=rules["basis"],
    )  # fmt: skip
    if result.verdict is Verdict.REJECTED:
        context.gates.append(f"the earth of the equipment is {typed.value:.3g} ohm")
    yield StepDone(result)
