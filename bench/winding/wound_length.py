"""How much wire the first N turns of a winding take, layer by layer, and how many turns a length of wire makes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bench.design.plan import PlannedWinding
from bench.magnetics.former import BULGE

__all__ = ["WoundLength", "wound_length"]


@dataclass(frozen=True)
class WoundLength:
    """layers: turns in each, inside first, as wound;  mean_turns [m] of each;  heights [m]: of the middle of each over
    the leg;  full: turns of a full layer;  step [m]: by which a turn grows from one layer to the next."""

    layers: tuple[float, ...]
    mean_turns: tuple[float, ...]
    heights: tuple[float, ...]
    full: float
    step: float

    def length(self, turns: float) -> float:
        """Wire [m] in the first `turns` turns, 0 or more; past the last layer's turns they fill it, then lie further
        out.  Raises ValueError."""
        if not 0 <= turns < math.inf:
            raise ValueError(f"{turns:g} turns, expected 0 or more")
        left, total, number = turns, 0.0, 0
        while left > 0:
            within = min(left, self._capacity(number))
            total += within * self._mean_turn(number)
            left -= within
            number += 1
        return total

    def turns(self, length: float) -> float:
        """Turns that a length [m] of wire makes: the inverse of `length`.  Raises ValueError."""
        if not 0 <= length < math.inf:
            raise ValueError(f"{length:g} m of wire, expected 0 or more")
        left, total, number = length, 0.0, 0
        while left > 0:
            within = min(left / self._mean_turn(number), self._capacity(number))
            total += within
            left -= within * self._mean_turn(number)
            number += 1
            if left <= 1e-12 * length:
                break
        return total

    def height(self, turns: float) -> float:
        """Mean height [m] over the leg of the first `turns` turns, those past the last layer taken at its height."""
        left, moment = turns, 0.0
        for number, within in enumerate(self.layers):
            part = min(left, within) if number < len(self.layers) - 1 else left
            moment += part * self.heights[number]
            left -= part
            if left <= 0:
                break
        return moment / turns

    def _capacity(self, number: int) -> float:
        """A layer inside others holds what was wound on it; the last one may be filled up."""
        return self.layers[number] if number < len(self.layers) - 1 else self.full

    def _mean_turn(self, number: int) -> float:
        last = len(self.mean_turns) - 1
        return self.mean_turns[min(number, last)] + self.step * max(0, number - last)


def wound_length(planned: PlannedWinding, layers: Sequence[float] = ()) -> WoundLength:
    """The wire of a planned winding;  layers: turns of each layer as they were wound, as planned where not given.

    Where the job gives the mean turn of the whole winding, its layers keep their proportions.  A layer more than
    planned lies one step further out.  Raises ValueError.
    """
    plan = planned.layers
    wound = tuple(float(turns) for turns in layers) or tuple(float(one.turns) for one in plan)
    if min(wound) <= 0:
        raise ValueError(f"layers of {planned.name}: {list(wound)} turns, expected more than 0 in each")
    scale = 1.0
    if planned.winding.mean_turn is not None:
        scale = planned.winding.mean_turn * sum(one.turns for one in plan) / sum(o.turns * o.mean_turn for o in plan)
    rise = plan[-1].inner - plan[-2].inner if len(plan) > 1 else BULGE * planned.overall
    step = 2 * math.pi * rise * scale
    means = [one.mean_turn * scale for one in plan]
    heights = [(one.inner + one.outer) / 2 for one in plan]
    while len(means) < len(wound):
        means.append(means[-1] + step)
        heights.append(heights[-1] + rise)
    full = max(*wound, *(float(one.turns) for one in plan))
    return WoundLength(wound, tuple(means[: len(wound)]), tuple(heights[: len(wound)]), full, step)
