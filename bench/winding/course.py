"""What lies ahead in a winding: taps, ends of layers and the target, each with what is to be done there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from bench.design.plan import PlannedLayer, WindingPlan
from bench.job.winding import Tap, Winding

__all__ = ["Course", "Mark", "MarkKind", "course_of", "due_first"]

_AT = 0.25
"""Turns before a mark from which it counts as reached: an edge of the counter does not fall on it to the degree."""


class MarkKind(StrEnum):
    TAP = "tap"
    LAYER_END = "end of layer"
    TARGET = "target"


_DUE = {MarkKind.TARGET: 0, MarkKind.TAP: 1, MarkKind.LAYER_END: 2}


@dataclass(frozen=True)
class Mark:
    """turn: from the start;  name: `tap centre`, `end of layer 3`, `target`;  do: what to do there, in words."""

    turn: float
    kind: MarkKind
    name: str
    do: tuple[str, ...] = ()

    def reached_at(self, turns: float) -> bool:
        return turns > self.turn - _AT


@dataclass(frozen=True)
class Course:
    """marks in order of their turns;  ends: the turn at which each layer ends, the last one at the target."""

    marks: tuple[Mark, ...]
    ends: tuple[float, ...]

    def next_after(self, turns: float) -> Mark | None:
        """The first mark that is not reached."""
        return next((mark for mark in self.marks if not mark.reached_at(turns)), None)

    def layer_at(self, turns: float) -> tuple[int, float, float] | None:
        """Number of the layer that is being wound, the turns before it and its own turns; None without layers."""
        if not self.ends:
            return None
        before = 0.0
        for number, end in enumerate(self.ends, start=1):
            if turns < end or number == len(self.ends):
                return number, before, end - before
            before = end
        raise AssertionError("the last layer ends the loop")


def course_of(
    winding: Winding, target: int, plan: WindingPlan | None = None, layer_ends: tuple[float, ...] = ()
) -> Course:
    """The course of a winding of `target` turns.

    plan: of the whole job, where it is filled in; without it, the layers and taps that the winding names.
    layer_ends: turns at which layers were full on the machine, which moves those after them.
    """
    planned = None
    if plan is not None and any(one.name == winding.name for one in plan.windings):
        planned = plan.winding(winding.name)
    sheet = tuple(layer.turns for layer in planned.layers) if planned is not None else winding.layers
    ends = _ends(sheet, target, layer_ends)
    marks = [Mark(tap.turn, MarkKind.TAP, f"tap {tap.name}", (_lead_out(tap),)) for tap in winding.taps]
    for number, end in enumerate(ends[:-1], start=1):
        layer = planned.layers[number - 1] if planned is not None and number <= len(planned.layers) else None
        marks.append(Mark(end, MarkKind.LAYER_END, f"end of layer {number}", _between(plan, layer)))
    marks.append(Mark(target, MarkKind.TARGET, "target", _at_the_end(winding, plan)))
    return Course(tuple(sorted(marks, key=lambda mark: (mark.turn, mark.kind is MarkKind.TARGET))), ends)


def due_first(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """Of marks that were reached: the target, then taps, then ends of layers, the latest first."""
    return tuple(sorted(marks, key=lambda mark: (_DUE[mark.kind], -mark.turn)))


def _ends(sheet: tuple[int, ...], target: int, full: tuple[float, ...]) -> tuple[float, ...]:
    """Where each layer ends: those that were full as they were, the rest with the sheet's turns, up to the target."""
    if not sheet and not full:
        return ()
    ends = [end for end in full if end < target]
    usual = list(sheet[len(ends) :]) or [max(sheet, default=target)]
    while not ends or ends[-1] < target - 0.5:
        turns = usual.pop(0) if len(usual) > 1 else usual[0]
        ends.append(min(float(target), (ends[-1] if ends else 0.0) + turns))
    ends[-1] = float(target)
    return tuple(ends)


def _lead_out(tap: Tap) -> str:
    lead = str(tap.lead)
    return f"bring out the lead {lead}" if lead else "bring out the lead"


def _between(plan: WindingPlan | None, layer: PlannedLayer | None) -> tuple[str, ...]:
    said = []
    if plan is not None and plan.between_layers > 0:
        said.append(f"insulation {plan.between_layers * 1e3:.3g} mm, flange to flange")
    if layer is not None:
        said.append(f"then to the {'left' if layer.direction > 0 else 'right'}")
    return tuple(said)


def _at_the_end(winding: Winding, plan: WindingPlan | None) -> tuple[str, ...]:
    lead = str(winding.finish)
    said = [f"finish lead {lead}" if lead else "finish lead", "sleeve and anchor it"]
    if plan is None:
        return tuple(said)
    if plan.between_windings > 0:
        said.append(f"cover {plan.between_windings * 1e3:.3g} mm")
    for screen in (one.screen for one in plan.screens if one.screen.after == winding.name):
        said.append(f"then {screen.name}: its ends must never touch, insulation between them")
    return tuple(said)
