"""How fast a winding goes of late, for the time that is left."""

from __future__ import annotations

import math

from drivers.counting import Count

__all__ = ["Pace"]

_OVER_S = 20.0
_MOVING = 0.05
"""Turns/s under which the spindle counts as standing."""


class Pace:
    """Turns/s while it turned, over the last moments: pauses for a layer's paper don't count."""

    def __init__(self) -> None:
        self.turns_per_second = 0.0
        self._at: float | None = None

    def take(self, count: Count) -> None:
        before, self._at = self._at, count.at
        if before is None or abs(count.speed) < _MOVING or count.at <= before:
            return
        seconds = min(count.at - before, 1.0)
        share = 1.0 - math.exp(-seconds / _OVER_S) if self.turns_per_second else 1.0
        self.turns_per_second += share * (count.speed - self.turns_per_second)
