"""What the decision rule will make of a unit whose true value is known: the chances, before it is measured."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.acceptance.normal import share_below

__all__ = ["Chances", "chances", "limits_between"]


@dataclass(frozen=True)
class Chances:
    """Of one unit whose value is known: that it will be accepted, rejected, or left undecided. They add up to 1."""

    accepted: float
    rejected: float

    @property
    def undecided(self) -> float:
        return max(0.0, 1.0 - self.accepted - self.rejected)


def chances(true: float, u: float, lower: float | None, upper: float | None, guard: float) -> Chances:
    """What a measurement with standard uncertainty u (normal) will make of a unit of that true value.

    lower, upper: limits, None where there is none on that side;  guard w: accepted inside the limits by so much,
    rejected outside by as much.  All in one unit.  Raises ValueError.  Source: JCGM 106:2012, 8.3, for the rule.
    """
    low, high = limits_between(lower, upper)
    if not (u > 0 and math.isfinite(u) and math.isfinite(true) and math.isfinite(guard)):
        raise ValueError(f"u = {u:g} at {true:g} with a guard band of {guard:g}, expected numbers and u more than 0")
    accepted = share_below((high - guard - true) / u) - share_below((low + guard - true) / u)
    rejected = share_below((true - high - guard) / u) + share_below((low - guard - true) / u)
    return Chances(max(0.0, accepted), min(1.0, rejected))


def limits_between(lower: float | None, upper: float | None) -> tuple[float, float]:
    """Both limits as numbers, infinite where there is none on that side.  Raises ValueError for none or wrong order."""
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    if (lower is None and upper is None) or low > high:
        raise ValueError(f"limits {lower} and {upper}, expected one or both, the lower one first")
    return low, high
