"""A value with its standard uncertainty, as the survey's answers carry it."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["COVERAGE", "Interval"]

COVERAGE = 2.0
"""k of the expanded uncertainty: about 95 % (JCGM 100:2008, 6.2)."""


@dataclass(frozen=True)
class Interval:
    """value, and u: its standard uncertainty, in the same unit."""

    value: float
    u: float

    @classmethod
    def from_log(cls, log: float, u_log: float) -> Interval:
        """From the logarithm of a value and its u."""
        value = math.exp(log)
        return cls(value, value * u_log)

    @property
    def expanded(self) -> float:
        """U, with k = 2."""
        return COVERAGE * self.u

    @property
    def low(self) -> float:
        return self.value - self.expanded

    @property
    def high(self) -> float:
        return self.value + self.expanded

    @property
    def relative(self) -> float:
        return self.u / abs(self.value) if self.value else math.inf

    def times(self, factor: float, u_log: float = 0.0) -> Interval:
        """Multiplied by a factor that has a relative doubt of its own."""
        value = self.value * factor
        return Interval(value, abs(value) * math.hypot(self.relative, u_log))

    def as_json(self) -> dict[str, float]:
        return {"value": self.value, "u": self.u, "expanded": self.expanded, "k": COVERAGE}
