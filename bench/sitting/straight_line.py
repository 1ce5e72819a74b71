"""A straight line through values of different doubt, and whether its slope is more than chance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["StraightLine", "straight_line"]

_CONFIDENCE = 0.95


@dataclass(frozen=True)
class StraightLine:
    """y = mean + slope (x - center).

    u_mean, u_slope: standard uncertainties, widened by `birge` where the values scatter more than their doubts say;
    birge: root of chi squared per degree of freedom, at least 1;  coverage: Student's factor for 95 %;  points: how
    many values.
    """

    center: float
    mean: float
    slope: float
    u_mean: float
    u_slope: float
    birge: float
    coverage: float
    points: int

    @property
    def slope_within(self) -> float:
        """Half width of its interval, with 95 % confidence."""
        return self.coverage * self.u_slope

    @property
    def significant(self) -> bool:
        """Whether a slope of 0 is outside of it."""
        return abs(self.slope) > self.slope_within

    def at(self, x: float) -> float:
        return self.mean + self.slope * (x - self.center)


def straight_line(x: Sequence[float], y: Sequence[float], u: Sequence[float]) -> StraightLine:
    """Weighted least squares, weights 1/u², x without doubt; three points at least, not all at one x.

    With x taken from its weighted mean, slope and mean are uncorrelated.  Where chi squared per degree of freedom is
    above 1 the doubts are widened by its root (Birge, Phys. Rev. 40 (1932) 207, from memory); it is never taken to
    narrow them.  Raises ValueError.
    """
    if not len(x) == len(y) == len(u) or len(x) < 3:
        raise ValueError(f"{len(x)} points, expected 3 or more, each with a value and a doubt")
    if not all(one > 0 and math.isfinite(one) for one in u):
        raise ValueError("a doubt of 0 or less, expected more than 0")
    weights = [1.0 / one**2 for one in u]
    total = math.fsum(weights)
    center = math.fsum(w * one for w, one in zip(weights, x, strict=True)) / total
    mean = math.fsum(w * one for w, one in zip(weights, y, strict=True)) / total
    spread = math.fsum(w * (one - center) ** 2 for w, one in zip(weights, x, strict=True))
    if spread <= 0:
        raise ValueError("all at one time, expected values of different times")
    slope = math.fsum(w * (a - center) * b for w, a, b in zip(weights, x, y, strict=True)) / spread
    rest = [b - mean - slope * (a - center) for a, b in zip(x, y, strict=True)]
    free = len(x) - 2
    chi2 = math.fsum(w * one**2 for w, one in zip(weights, rest, strict=True))
    birge = max(1.0, math.sqrt(chi2 / free))
    return StraightLine(
        center, mean, slope, birge / math.sqrt(total), birge / math.sqrt(spread), birge, _student(free), len(x)
    )


def _student(free: int) -> float:
    """Two-sided, 95 %."""
    from scipy.special import stdtrit

    return float(stdtrit(free, 0.5 + _CONFIDENCE / 2))
