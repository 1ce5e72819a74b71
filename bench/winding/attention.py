"""What the person at the machine is to be told at once, by sound and by sight: never twice the same."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from bench.winding.course import MarkKind
from bench.winding.layers import turns_words
from bench.winding.progress import Progress, Standing
from drivers.counting import Bounded, Broken, LinkWentAway

__all__ = ["Alert", "Attention", "Urgency"]

_TURNED_ON_HOLD = 1.0
_JITTER = 0.6
"""Turns by which the count must go back before a mark is announced again."""


class Urgency(StrEnum):
    """How it is to sound."""

    WARNING = "warning"
    REACHED = "reached"
    TROUBLE = "trouble"
    DONE = "done"


@dataclass(frozen=True)
class Alert:
    urgency: Urgency
    words: str


class Attention:
    """Takes each progress and event in turn, and gives what is new in it."""

    def __init__(self) -> None:
        self._near: str | None = None
        self._reached: set[str] = set()
        self._standing: Standing | None = None
        self._highest = self._last = float("-inf")
        self._hold_told = False
        self._first = True

    def after(self, progress: Progress) -> tuple[Alert, ...]:
        alerts: list[Alert] = []
        if self._first:
            # what was so when one sat down is on the screen, and no news
            self._first = False
            self._reached = {mark.name for mark in progress.waiting}
            self._standing = progress.standing
            if progress.near and progress.next_mark is not None:
                self._near = progress.next_mark.name
        falling = progress.turns < self._last
        self._last = progress.turns
        self._highest = max(self._highest, progress.turns)
        if progress.turns < self._highest - _JITTER:
            self._near, self._highest = None, progress.turns
        if falling:
            self._reached = {mark.name for mark in progress.waiting}
            return tuple(self._standings(progress))
        alerts += self._marks(progress)
        alerts += self._standings(progress)
        return tuple(alerts)

    def event(self, event: Any) -> tuple[Alert, ...]:
        match event:
            case Bounded(low=low, high=high):
                return (Alert(Urgency.TROUBLE, f"count unsure, between {low:.1f} and {high:.1f}"),)
            case Broken():
                return (Alert(Urgency.TROUBLE, "count lost"),)
            case LinkWentAway():
                return (Alert(Urgency.TROUBLE, "the counter's line went away"),)
        return ()

    def _marks(self, progress: Progress) -> list[Alert]:
        alerts = []
        waiting = {mark.name for mark in progress.waiting}
        for mark in progress.waiting:
            if mark.name not in self._reached and mark.kind is not MarkKind.TARGET:
                what = f"{mark.name}: {', '.join(mark.do)}" if mark.do else mark.name
                alerts.append(Alert(Urgency.REACHED, what))
        self._reached = waiting
        ahead, to_next = progress.next_mark, progress.to_next
        if ahead is None or to_next is None or not progress.near or progress.held or ahead.name == self._near:
            return alerts
        self._near = ahead.name
        alerts.append(Alert(Urgency.WARNING, f"{turns_words(round(max(to_next, 0.0)))} to {ahead.name}"))
        return alerts

    def _standings(self, progress: Progress) -> list[Alert]:
        before, self._standing = self._standing, progress.standing
        alerts = []
        if progress.held:
            turned = abs(progress.left_out) >= _TURNED_ON_HOLD
            if turned and not self._hold_told:
                what = f"on hold: what the spindle turns now is not counted ({progress.left_out:+.1f} turns)"
                alerts.append(Alert(Urgency.TROUBLE, what))
            self._hold_told = turned
        elif progress.standing is not before:
            if progress.standing is Standing.AT_TARGET:
                alerts.append(Alert(Urgency.REACHED, "target"))
            elif progress.standing is Standing.PAST:
                alerts.append(Alert(Urgency.TROUBLE, f"{-progress.to_go:.1f} turns past the target"))
            elif progress.standing is Standing.UNSURE and before is not None:
                what = f"the count is between {progress.low:.1f} and {progress.high:.1f}: the target may be reached"
                alerts.append(Alert(Urgency.TROUBLE, what))
        return alerts
