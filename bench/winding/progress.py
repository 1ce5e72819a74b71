"""Where a winding stands: turns to go, layer, turn in the layer, and what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.job.winding import Winding
from bench.winding.course import Course, Mark, MarkKind, course_of, due_first
from drivers.counting import Count

__all__ = ["WARN_TURNS", "Progress", "Standing", "progress_of"]

WARN_TURNS = 10.0
"""Turns before a mark from which the winder is warned."""

_PACE_LEAST = 0.2
"""Turns/s below which a speed tells nothing of the time to go."""


class Standing(StrEnum):
    """Of the count against the target; an interval that reaches over a border is `unsure`."""

    WINDING = "winding"
    NEARLY = "nearly there"
    AT_TARGET = "at target"
    PAST = "past target"
    UNSURE = "count unsure"
    HELD = "on hold"


@dataclass(frozen=True)
class Progress:
    """turns, low, high: the count;  to_go: to the target, negative past it;  layer: from 1, None where the job has no
    layers;  turn_in_layer, turns_of_layer;  next_event: what comes next, in words;  next_mark: the same, None past the
    target;  waiting: what was reached and is not done;  left_out: turns of the spindle while on hold;  pace: turns/s of
    late, 0 where nothing tells;  ends: the turn at which each layer ends, as they were full on the machine."""

    winding: str
    turns: float
    low: float
    high: float
    target: int
    to_go: float
    standing: Standing
    layer: int | None
    layers: int
    turn_in_layer: float
    turns_of_layer: int
    next_event: str
    speed: float
    at: float
    next_mark: Mark | None = None
    waiting: tuple[Mark, ...] = ()
    left_out: float = 0.0
    pace: float = 0.0
    strands: int = 1
    taking_off: bool = False
    ends: tuple[float, ...] = ()

    @property
    def certain(self) -> bool:
        return self.low == self.high

    @property
    def held(self) -> bool:
        return self.standing is Standing.HELD

    @property
    def to_next(self) -> float | None:
        """Turns to the next mark."""
        return None if self.next_mark is None else self.next_mark.turn - self.turns

    @property
    def near(self) -> bool:
        """Whether the next mark is so near that the winder is warned."""
        return self.to_next is not None and self.to_next <= WARN_TURNS

    @property
    def seconds_to_go(self) -> float | None:
        """At the pace of late; None at rest, past the target or with a pace that tells nothing."""
        if self.pace < _PACE_LEAST or self.to_go <= 0:
            return None
        return self.to_go / self.pace


def progress_of(
    winding: Winding,
    target: int,
    count: Count,
    course: Course | None = None,
    *,
    waiting: tuple[str, ...] = (),
    left_out: float | None = None,
    pace: float = 0.0,
    taking_off: bool = False,
) -> Progress:
    """The progress that a count means for a winding with `target` turns.

    The target is met when the count lies within half a turn of it: a turn counter's edge does not fall where the
    turn is complete to the degree.  waiting: names of marks;  left_out: of the spindle while on hold, None otherwise.
    """
    course = course or course_of(winding, target)
    layer = course.layer_at(count.turns)
    mark = course.next_after(count.turns)
    return Progress(
        winding=winding.name,
        turns=count.turns,
        low=count.low,
        high=count.high,
        target=target,
        to_go=target - count.turns,
        standing=_standing(count, target) if left_out is None else Standing.HELD,
        layer=None if layer is None else layer[0],
        layers=len(course.ends),
        turn_in_layer=count.turns - (0.0 if layer is None else layer[1]),
        turns_of_layer=0 if layer is None else round(layer[2]),
        next_event=_next_event(mark, count.turns),
        speed=count.speed,
        at=count.at,
        next_mark=mark,
        waiting=due_first(mark for mark in course.marks if mark.name in waiting) if waiting else (),
        left_out=left_out or 0.0,
        pace=pace,
        strands=winding.strands,
        taking_off=taking_off,
        ends=course.ends,
    )


def _standing(count: Count, target: int) -> Standing:
    if count.low > target + 0.5:
        return Standing.PAST
    if target - 0.5 <= count.low and count.high <= target + 0.5:
        return Standing.AT_TARGET
    if count.high - count.low > 0.5 and count.high >= target - 0.5:
        return Standing.UNSURE
    return Standing.NEARLY if target - count.high <= WARN_TURNS else Standing.WINDING


def _next_event(mark: Mark | None, turns: float) -> str:
    if mark is None:
        return "nothing more to wind"
    what = "target" if mark.kind is MarkKind.TARGET else mark.name
    return f"{what} in {mark.turn - turns:.1f} turns"
