"""Which counts are worth saying aloud while a winding goes on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["COUNTDOWN", "Mark", "SpokenSteps"]

COUNTDOWN = (10, 5, 3, 2, 1)
"""Turns before a mark at which they are said."""

_BARE = 3  # turns to go from which the number alone is said: they come fast
_REACHED = 0.25  # of a turn before a mark, from where on the screen names the next one too
_BACK = 2.0  # turns: less is the spindle rocking, more is turns taken off, after which steps count anew
_EXACT = 1e-6  # a count is a sum of edges


@dataclass(frozen=True)
class Mark:
    """A place where the winding is stopped: turn, and what is said there."""

    turn: float
    name: str = "target"


class SpokenSteps:
    """From one count to the next, what to say: each step once on the way up, of several only the last.

    every: says the count at each multiple of so many turns, None for never.  marks: counts down to the marks, where
    steps are silent from the first number of the countdown until half a turn past the mark.
    """

    def __init__(self, every: int | None, marks: bool) -> None:
        if every is not None and every < 1:
            raise ValueError(f"every {every} turns, expected 1 or more")
        self._every = every
        self._marks = marks
        self._top: float | None = None

    def said(self, before: float, now: float, marks: Iterable[Mark] = ()) -> str | None:
        """What to say when the count goes from `before` to `now`, None for nothing.

        marks: all of the winding's, in any order; those behind are not said again.
        """
        if not (math.isfinite(before) and math.isfinite(now)):
            return None
        before, now = before + _EXACT, now + _EXACT
        top = before if self._top is None or before < self._top - _BACK else max(self._top, before)
        if now <= top:
            self._top = now if now < top - _BACK else top
            return None
        self._top = now
        ahead = sorted((mark for mark in marks if self._marks), key=lambda mark: mark.turn)
        passed = [point for point in _points(ahead) if top < point[0] <= now]
        if passed:
            return max(passed)[1]
        return self._step(top, now, ahead)

    def _step(self, top: float, now: float, marks: list[Mark]) -> str | None:
        if self._every is None:
            return None
        step = math.floor(now / self._every) * self._every
        if step <= max(top, 0) or any(mark.turn - COUNTDOWN[0] <= step < mark.turn + 0.5 for mark in marks):
            return None
        return str(step)


def _points(marks: list[Mark]) -> list[tuple[float, str]]:
    """Turns at which something is said of a mark; of marks close to each other the nearer is counted down first."""
    points = []
    behind = 0.0
    for mark in marks:
        lefts = [left for left in COUNTDOWN if mark.turn - left > behind]
        for left in lefts:
            bare = left <= _BARE and left != lefts[0]
            points.append((mark.turn - left, str(left) if bare else f"{left} to go"))
        points.append((mark.turn - _REACHED, mark.name))
        behind = mark.turn - _REACHED
    return points
