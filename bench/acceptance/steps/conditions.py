"""What must be known before the first reading: the temperature of the copper, the height of the stack."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Confirm, Enter, Skipped, StepDone
from bench.estimate import Estimate
from bench.quantities import Dimension
from drivers.reading import Quantity

ABOUT = About(
    words="cautions; temperature of the winding, height of the stack",
    cautioned=True,
    rules_out=("core_stack_short",),
    minutes=2.0,
)


# Temperatures [K] of a winding at rest on a bench, -20 to 60 degC: outside, degrees Fahrenheit or a slip were typed.
_WINDING_AT_REST = (253.15, 333.15)


def plan(context: Context) -> list[PlannedStep]:
    if context.expectation.stack is None:
        return []
    return [PlannedStep("stack_height", "height of the stack", required=False)]


def run(context: Context) -> Steps:
    """Cautions first; then the two values that the hand reads."""
    yield Confirm(
        "start",
        "Unit unplugged, discharged, nothing connected to any winding.",
        context.cautions.of(Hazard.LOCAL_CODES),
    )
    ask = Enter(
        "temperature",
        Quantity.TEMPERATURE,
        "Temperature of the winding (left in the room overnight: the room's).",
        "degC",
    )
    try:
        typed, _ = yield from entered(ask, Dimension.TEMPERATURE, *_WINDING_AT_REST)
        context.temperature, context.u_temperature = typed.value, 1.0
    except Skipped as reason:
        context.skip("temperature", f"{reason}; taken as 20 +-3 degC", required=False)
    if context.expectation.stack is not None:
        yield from _stack(context, context.expectation.stack)


def _stack(context: Context, design: float) -> Steps:
    tolerance = context.rules["stack"]["tolerance"]
    ask = Enter("stack_height", Quantity.STACK_HEIGHT, "Height of the stack, pressed together, by a rule.", "mm")
    try:
        typed, _text = yield from entered(ask, Dimension.LENGTH)
    except Skipped as reason:
        context.skip("stack_height", str(reason), required=False)
        return
    # A rule is read to half a millimetre at best, whatever is typed.
    estimate = Estimate(typed.value, {"stack_height:rule": max(typed.resolution, 0.5e-3) / 12**0.5})
    result = judge(
        "stack_height",
        "height of the stack",
        "stack_height",
        "",
        "m",
        estimate,
        lower=design * (1 - tolerance),
        upper=design * (1 + tolerance),
        basis=context.rules["stack"]["basis"],
        expected=design,
    )
    yield StepDone(result)
