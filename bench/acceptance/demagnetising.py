"""Whether an ohmmeter leaves the core magnetised, and how that is taken out again."""

from __future__ import annotations

import math

from bench.acceptance.context import Context
from bench.job.expectation import Span
from bench.quantities import show

__all__ = ["DEMAGNETISE", "left_in_the_core"]

DEMAGNETISE = (
    "Run the volts slowly down to zero, over ten seconds or so, then supply off: this leaves the core demagnetised; "
    "cut off at once it keeps a part."
)
"""How the volts are taken off a core that has been at nominal (common practice, from memory)."""


def left_in_the_core(context: Context, span: Span) -> str:
    """What to be told where the ohmmeter's current through a winding magnetises the core; empty where it does not.

    Its ampere turns against the peak ones that excite the core at nominal: a small share of them moves the flux along
    the foot of the curve only, and leaves next to nothing.
    """
    curve = context.expectation.curve
    if curve is None or span.resistance is None or not math.isfinite(span.resistance):
        return ""
    current = context.equipment.test_current(span.resistance)
    nominal = math.sqrt(2.0) * curve.current_at(context.expectation.voltage) * abs(context.expectation.fed_span.turns)
    share = current * abs(span.turns) / nominal
    if share < context.rules["resistance"]["magnetises_above"]:
        return ""
    return (
        f"The ohmmeter sends {show(current, 'A', 2)} through {span.name}, {share * 100:.0f} % of the ampere turns that "
        "magnetise the core at nominal: join both ends of the winding with a clip before the meter comes off, so that "
        "its energy goes there; the core stays magnetised until first power."
    )
