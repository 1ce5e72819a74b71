"""What lies on the former while a winding is wound: which turns are on, and the part of the window that they fill."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bench.design.plan import PlannedLayer, PlannedScreen, PlannedWinding, WindingPlan, plan_of
from bench.job.model import Job
from bench.winding.progress import Progress
from bench.winding.state import WindingState

__all__ = ["Area", "as_wound", "filled", "place_of_wire", "screens_on", "turns_on", "whole_turns"]

_WHOLE_FROM = 0.75
"""Of a turn: an edge of the counter does not fall where the turn is complete to the degree."""


@dataclass(frozen=True)
class Area:
    """A part of the window [m]: along the leg from the left flange's inner face, and in height over the leg."""

    left: float
    right: float
    inner: float
    outer: float

    def holds(self, along: float, height: float) -> bool:
        return self.left <= along <= self.right and self.inner <= height <= self.outer


def as_wound(job: Job, winding: str = "", ends: Sequence[float] = ()) -> WindingPlan | None:
    """The plan of a job with the layers of one winding as they were full on the machine; where they can't lie like
    that, and for all others, as the sheet has them.  None where the job is not filled in enough for a plan."""
    try:
        sheet = plan_of(job)
    except ValueError:
        return None
    marks = [0, *(round(end) for end in ends)]
    layers = tuple(after - before for before, after in itertools.pairwise(marks))
    planned = next((one for one in sheet.windings if one.name == winding), None)
    if planned is None or not layers or min(layers) < 1 or layers == tuple(one.turns for one in planned.layers):
        return sheet
    windings = tuple(
        one.model_copy(update={"layers": layers, "turns": marks[-1]}) if one.name == winding else one
        for one in job.winding
    )
    try:
        plan = plan_of(job.model_copy(update={"winding": windings}))
    except ValueError:
        return sheet
    items = tuple(
        replace(one, layers=_from_end_to_end(one.layers, plan))
        if isinstance(one, PlannedWinding) and one.name == winding
        else one
        for one in plan.items
    )
    return replace(plan, items=items)


def _from_end_to_end(layers: tuple[PlannedLayer, ...], plan: WindingPlan) -> tuple[PlannedLayer, ...]:
    """A layer that was full with fewer turns than on the sheet lay wider, not shorter; the last one ends anywhere."""
    found: list[PlannedLayer] = []
    at = plan.margin
    for layer in layers:
        pitch = layer.pitch if layer is layers[-1] else plan.length / layer.turns
        wound = replace(layer, start=at, pitch=pitch)
        taps = tuple(replace(tap, position=wound.place(tap.in_layer)) for tap in layer.taps)
        found.append(replace(wound, taps=taps))
        at = wound.end
    return tuple(found)


def whole_turns(turns: float) -> int:
    """Turns that are wholly on."""
    return max(0, math.floor(turns + 1 - _WHOLE_FROM)) if math.isfinite(turns) else 0


def turns_on(
    plan: WindingPlan, winding: str, progress: Progress | None, states: Mapping[str, WindingState]
) -> dict[str, int]:
    """Whole turns of each winding that are on; of an unsure count those that are on for certain.

    What lies under the present winding is on: it could not be wound otherwise.
    """
    found, below = {}, any(one.name == winding for one in plan.windings)
    for one in plan.windings:
        of_it = sum(layer.turns for layer in one.layers)
        state = states.get(one.name)
        if one.name == winding:
            below = False
            found[one.name] = 0 if progress is None else min(of_it, whole_turns(min(progress.turns, progress.low)))
        elif state is not None and state.begun:
            found[one.name] = min(of_it, whole_turns(state.turns))
        elif below or (state is not None and state.done is not None):
            found[one.name] = of_it
        else:
            found[one.name] = 0
    return found


def screens_on(plan: WindingPlan, turns: Mapping[str, int]) -> dict[str, bool]:
    """Whether each screen is on: it is under a winding of which turns are on."""
    found, above = {}, False
    for one in reversed(plan.items):
        if isinstance(one, PlannedScreen):
            found[one.screen.name] = above
        else:
            above = above or turns.get(one.name, 0) > 0
    return found


def filled(plan: WindingPlan, planned: PlannedWinding, turns: int, before: int = 0) -> tuple[Area, ...]:
    """What the turns of a winding from `before` to `turns` fill: full layers from flange to flange with what is
    between them, then the part of the present one."""
    areas: list[Area] = []
    for layer, following in zip(planned.layers, (*planned.layers[1:], None), strict=True):
        first, last = (min(layer.turns, max(0, one - layer.first_turn)) for one in (before, turns))
        if last <= first:
            continue
        goes_on = following is not None and turns > following.first_turn
        outer = following.inner if following is not None and goes_on else layer.outer
        if first == 0 and last == layer.turns:
            areas.append(Area(0.0, plan.between_flanges, layer.inner, outer))
        else:
            left, right = sorted((layer.place(first), layer.place(last)))
            areas.append(Area(left, right, layer.inner, layer.outer))
    return tuple(areas)


def place_of_wire(planned: PlannedWinding, turns: float) -> tuple[PlannedLayer, float]:
    """The layer in which the wire is after so many turns, and how far along it [m]."""
    layer = planned.layers[0]
    for one in planned.layers:
        if turns >= one.first_turn:
            layer = one
    return layer, layer.place(min(float(layer.turns), max(0.0, turns - layer.first_turn)))
