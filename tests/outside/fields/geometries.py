"""Arrangements of coils whose leakage is known from finite elements, on the core of an EI 96 stacked 45 mm."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass
from typing import Any

from bench.magnetics.leakage import Coil, Window

__all__ = ["GEOMETRIES", "Geometry"]

WINDOW = Window(width=0.016, height=0.048)
LEG = 2 * (0.032 + 0.045) / (2 * math.pi)
"""Radius [m] of a round leg with the circumference of the tongue of 32 mm by 45 mm."""


@dataclass(frozen=True)
class Geometry:
    """Two windings round one leg; with yokes and limb all round the coils, or with the leg alone in free space."""

    name: str
    one: tuple[Coil, ...]
    other: tuple[Coil, ...]
    yokes: bool = True
    window: Window = WINDOW
    leg: float = LEG

    def as_table(self) -> dict[str, Any]:
        """All numbers of the geometry, as JSON holds them."""
        table: dict[str, Any] = json.loads(json.dumps(asdict(self)))
        return table


def _coil(turns: float, inner: float, outer: float, length: float, offset: float = 0.0) -> Coil:
    """A round coil; millimetres."""
    mean_turn = 2 * math.pi * (LEG + (inner + outer) / 2 * 1e-3)
    return Coil(turns, inner * 1e-3, outer * 1e-3, mean_turn, length * 1e-3, offset * 1e-3)


CONCENTRIC = ((_coil(662, 1.2, 7.4, 42),), (_coil(1554, 8.0, 14.0, 42),))

GEOMETRIES = (
    Geometry("two-concentric", *CONCENTRIC),
    Geometry(
        "primary-in-two-halves",
        one=(_coil(331, 1.2, 4.3, 42), _coil(331, 10.9, 14.0, 42)),
        other=(_coil(1554, 4.9, 10.3, 42),),
    ),
    Geometry("short-winding-off-centre", (_coil(662, 1.2, 7.4, 40),), (_coil(19, 8.0, 9.9, 24, 5.0),)),
    Geometry("side-by-side", (_coil(662, 1.2, 12.0, 20, -11.5),), (_coil(38, 1.2, 12.0, 20, 11.5),)),
    Geometry("two-concentric-outside-the-iron", *CONCENTRIC, yokes=False),
)
