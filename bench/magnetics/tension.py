"""How hard winding wire may be pulled, because wire that yields comes out thinner than the job says."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = [
    "Tension",
    "stretched_resistance",
    "stretched_resistance_per_metre",
    "winding_tension",
]

CHART_STRESS = 10_000 * 4.4482216152605 / 0.0254**2
"""Pull at the chart's maximum over the copper's section [Pa]: 10 000 lbf/in2, 68.9 N/mm2.

Inferred: all ten values of the chart are this, rounded to 0.1 lbf from 1 lbf up and finer below.
"""

_THINNEST, _THICKEST = 0.079e-3, 0.813e-3
_HIGHEST_STRAIN = 0.3


@dataclass(frozen=True)
class Tension:
    """Pull on the wire while it is wound [N]: from where to where to work, and the most."""

    working_low: float
    working_high: float
    maximum: float


def winding_tension(diameter: float) -> Tension:
    """Pull for a copper wire of bare diameter d [m], 0.079 to 0.813 mm: at most 68.9 N/mm2, work at 50 to 80 % of it.

    maximum = 10 000 lbf/in2 x pi/4 d2.  Raises ValueError outside the chart.  Source: Phelps Dodge tension chart as
    reproduced at fr.scribd.com/doc/45837533.
    """
    # A gauge's exact size may lie beyond the chart's rounded end.
    if not _THINNEST - 0.5e-6 <= diameter <= _THICKEST + 0.5e-6:
        raise ValueError(f"{diameter * 1e3:.4g} mm is outside the tension chart, expected 0.079 to 0.813 mm")
    maximum = CHART_STRESS * math.pi / 4 * diameter**2
    return Tension(working_low=0.5 * maximum, working_high=0.8 * maximum, maximum=maximum)


def stretched_resistance(strain: float) -> float:
    """R / R0 of a piece of wire that has been drawn out by `strain` (0.01 is 1 %), 0 to 0.3: (1 + strain)^2.

    Its volume stays: as it grows longer its section shrinks as much. +1 % length is +2 % ohms.  Raises ValueError.
    Source: resistance of a conductor at constant volume, any textbook; soft copper tears at 10 to 30 %, from memory.
    """
    return _stretch(strain) ** 2


def stretched_resistance_per_metre(strain: float) -> float:
    """(R / length) / (R0 / length0) of wire drawn out by `strain`, 0 to 0.3: 1 + strain.

    This is what a finished winding shows: its length is that of its turns, whatever the wire was before.
    +1 % stretch is +1 % ohms.  Raises ValueError.
    """
    return _stretch(strain)


def _stretch(strain: float) -> float:
    if not 0 <= strain <= _HIGHEST_STRAIN:
        raise ValueError(f"strain {strain:g}, expected 0 to {_HIGHEST_STRAIN:g}")
    return 1 + strain
