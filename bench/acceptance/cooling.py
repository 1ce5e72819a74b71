"""What a winding had at the moment of switching off: the form in which whoever can tell it gives it to a step."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

__all__ = ["AtSwitchOff", "CoolingFit"]


@dataclass(frozen=True)
class AtSwitchOff:
    """resistance [ohm] then, u its standard uncertainty [ohm]."""

    resistance: float
    u: float


CoolingFit = Callable[[Sequence[float], Sequence[float], float], AtSwitchOff]
"""From times [s] after switching off, resistances [ohm] and the random standard uncertainty of one [ohm]; ValueError
for readings that are no cooling curve."""
