"""How warm a loaded unit gets, and where the rule that tells it ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bench.design.loaded import LoadedUnit
from bench.magnetics.on_load_result import OnLoad
from bench.magnetics.thermal import (
    HIGHEST_SURFACE_LOAD,
    LOWEST_SURFACE_LOAD,
    RiseEstimate,
    estimate_rise,
    outer_surface,
)

__all__ = ["AMBIENT", "WARM", "RiseOnLoad", "rise_on_load"]

WARM = 333.15
"""Copper at work [K]: 60 degC, a rise of 40 K in a room of 20 (common practice, no source)."""

AMBIENT = 298.15
"""Air round the unit at work [K]: 25 degC, where the rules of the rise were made."""


@dataclass(frozen=True)
class RiseOnLoad:
    """rise, u [K] at a supply;  beyond: why it is no number, in words, empty where it is one.

    rise is infinite where the losses are more than the rules of the rise reach, and 0 where they are less.
    """

    at: str
    rise: float
    u: float
    beyond: str = ""


def rise_on_load(unit: LoadedUnit, at: str, exact: OnLoad, base: OnLoad, moved: Sequence[OnLoad]) -> RiseOnLoad | None:
    """The rise, with what the doubts of the losses add to its own; None while the size of the core is not known.

    exact: the losses;  base, moved: a run and what each doubt makes of it, copper at WARM in all of them.
    """
    shape, stack = unit.job.core.shape, unit.job.core.stack
    if shape is None or stack is None or unit.core is None:
        return None
    surface = outer_surface(shape.tongue, stack, shape.window_width, shape.window_height)

    def estimate(losses: OnLoad) -> RiseEstimate:
        return estimate_rise(surface, losses.core_loss, losses.copper_loss, AMBIENT, WARM)

    surface_load = (exact.core_loss + exact.copper_loss) / surface
    try:
        found, near = estimate(exact), estimate(base)
        by_doubts = [estimate(one).rise - near.rise for one in moved]
    except ValueError:
        # Warm copper loses more: what ends beyond the rules may begin within them.
        if surface_load < 2 * LOWEST_SURFACE_LOAD:
            words = (
                f"less than the rule reaches ({surface_load:.2g} W/m2 of surface, it begins at {LOWEST_SURFACE_LOAD:g})"
            )
            return RiseOnLoad(at, 0.0, 0.0, f"{words}: hardly warm")
        words = (
            f"beyond what the rule reaches ({surface_load:.4g} W/m2 of surface, it ends at {HIGHEST_SURFACE_LOAD:g})"
        )
        return RiseOnLoad(at, math.inf, 0.0, f"{words}: it burns")
    return RiseOnLoad(at, found.rise, math.hypot(found.u, *by_doubts))
