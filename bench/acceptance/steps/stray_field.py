"""The field beside the transformer, where a picture tube, a head or a sensitive input is near."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import judge
from bench.acceptance.requests import Enter, Skipped, StepDone, Trouble
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from bench.job.procedure_file import Stage
from bench.quantities import Dimension, QuantityError, Typed, parse_typed
from drivers.reading import Quantity, State

ABOUT = About(
    words="stray field where a tube or a sensitive input is near",
    mains=True,
    guards=("refit", "earth_bond", "set_insulation"),
    minutes=5.0,
    stages=(Stage.IN_EQUIPMENT,),
)

_STEP = "stray_field"
_LABEL = "stray field at the sensitive part"
_MICRO = 1e-6
_PROBE = (
    0.10  # half width of the error of a field probe or a coil wound by hand, of reading; common practice, no source
)


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=False)]


def run(context: Context) -> Steps:
    """Microtesla by a probe, or millivolts of a search coil: what the workshop's limit, where it has one, is in."""
    rules = context.rules[_STEP]
    ask = Enter(
        _STEP,
        Quantity.STRAY_FIELD,
        "Equipment on: field at the picture tube or the sensitive input, in µT by a probe, or the mV of your search "
        "coil, its strongest way round. Skip where nothing is sensitive.",
        "uT, or mV of a search coil",
        cautions=context.cautions.of(Hazard.MAINS, Hazard.ATTENDED),
    )
    problem = ""
    for _ in range(5):
        try:
            text = str((yield Enter(ask.step, ask.quantity, problem + ask.text, ask.unit, cautions=ask.cautions)))
        except Skipped as reason:
            context.skip(_STEP, str(reason), required=False)
            return
        try:
            typed, unit = read_field(text)
        except QuantityError as error:
            problem = f"{error}. "
            continue
        yield StepDone(_judged(context, typed, unit))
        return
    raise Trouble(f"{rules.get('basis', _STEP)}: no readable value in 5 attempts")


def read_field(text: str) -> tuple[Typed, str]:
    """What was typed, with T or V; a bare number is microtesla.  Raises QuantityError."""
    bare = text.strip().replace("µ", "u").replace("μ", "u")
    number = bare.removesuffix("T").rstrip().removesuffix("u").rstrip() if bare.endswith("uT") else bare
    try:
        typed = parse_typed(number, Dimension.RATIO, bare=True)
    except QuantityError:
        if bare.endswith("V"):
            return parse_typed(bare, Dimension.VOLTAGE), "V"
        return parse_typed(bare, Dimension.FLUX_DENSITY), "T"
    return Typed(typed.value * _MICRO, typed.resolution * _MICRO), "T"


def _judged(context: Context, typed: Typed, unit: str) -> StepResult:
    rules = context.rules[_STEP]
    most = rules.get("most_tesla" if unit == "T" else "most_volt")
    estimate = Estimate(
        typed.value, {f"{_STEP}:probe": _PROBE / 3**0.5 * typed.value, f"{_STEP}:digit": typed.resolution / 12**0.5}
    )
    shown = "T field" if unit == "T" else "V"
    if most is None:
        return StepResult(
            _STEP, _LABEL, "stray_field", "", typed.value, State.GOOD, shown, Verdict.ACCEPTED, required=False,
            u=estimate.u, components=estimate.components, note="recorded; the rules set no limit",
        )  # fmt: skip
    return judge(_STEP, _LABEL, "stray_field", "", shown, estimate, lower=None, upper=most, basis=rules["basis"])
