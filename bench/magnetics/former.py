"""The room on the former: how high windings build, and the mean turn of each."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["Build", "build_up", "enamelled_diameter", "layers_needed"]

BULGE = 1.12
"""Build height of a hand-wound coil over that of its layers laid flat: 10 to 15 % (memory, common practice)."""


@dataclass(frozen=True)
class Build:
    """Where a winding lies: height of its inner and outer face over the former [m], mean turn [m], layers."""

    inner: float
    outer: float
    mean_turn: float
    layers: int


def enamelled_diameter(diameter: float) -> float:
    """Overall diameter [m] of grade 1 enamelled wire from its bare one, 0.05 to 5 mm.

    d + 0.0389 mm sqrt(d / 0.4 mm): a line through the maximum overall diameters of IEC 60317-0-1 table 1 as
    tabulated by makers (0.100: 0.117, 0.200: 0.226, 0.400: 0.439, 0.630: 0.679 mm), within 0.005 mm of each.
    """
    return diameter + 0.0389e-3 * math.sqrt(diameter / 0.4e-3)


def layers_needed(turns: int, strands: int, overall: float, length: float) -> int:
    """Layers that `turns` of `strands` wires in hand take on a winding length [m], wound close at 95 %."""
    per_layer = max(1, math.floor(0.95 * length / (overall * strands)))
    return math.ceil(turns / per_layer)


def build_up(tongue: float, stack: float, start: float, layers: int, overall: float, interlayer: float) -> Build:
    """Height and mean turn of a winding that begins `start` [m] over the core leg (tongue x stack).

    The turn runs straight along the four sides and bends round the corners: mean turn = 2 (tongue + stack) + 2 pi x
    (height of the middle of the winding over the leg).  Common practice, no source.
    """
    height = BULGE * (layers * overall + max(0, layers - 1) * interlayer)
    middle = start + height / 2
    return Build(start, start + height, 2 * (tongue + stack) + 2 * math.pi * middle, layers)
