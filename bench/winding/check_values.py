"""What a check of a finished winding says: a count, turns by a measurement, a conclusion, and what would explain it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

__all__ = ["COVERAGE", "Cause", "Conclusion", "Counted", "Explanation", "Says", "conclude", "sees", "worst"]

COVERAGE = 2.0
"""k of every interval here: about 95 % (JCGM 100:2008, 6.2)."""

_ONE_SIDED_95 = 1.645
"""Standard normal quantile: 95 % lie below it."""

_SHARE_OF_ONE_LAYER = 0.1
"""Of its turns: what a check of a winding of a single layer should at least tell (common practice, no source)."""


class Conclusion(StrEnum):
    AGREES = "agrees"
    DISAGREES = "disagrees"
    CANT_TELL = "can't tell"


class Cause(StrEnum):
    """What may stand behind a check that disagrees; the comment says of what its size is."""

    TURNS = "turns"  # turns over the count, negative: fewer
    LAYER_MISSING = "layer missing"  # layers that were counted and are not there
    LAYER_DOUBLE = "layer double"  # layers that are there and were not counted
    LAYER_SHORTED = "layer shorted"  # layers that carry no current
    STRAND_OPEN = "strand open"  # strands that are not joined
    WIRE_SIZE = "wire size"  # steps of the series, positive: thicker than the job says
    STRETCHED = "stretched"  # strain of the wire
    WARMER = "warmer"  # kelvin over the temperature that was told
    IN_SERIES = "in series"  # ohms of a joint, a contact, or leads
    FED_TURNS = "fed turns"  # turns of the winding that is fed, over its count
    HALF_TURN = "half turn"  # half turns, signed
    LEADS_ON_TAP = "leads on a tap"  # turns between the leads that would read so
    TAP_PLACE = "tap at the wrong turn"  # turns that the tap lies late


@dataclass(frozen=True)
class Counted:
    """The count of a winding: the truth lies in [low, high] turns, which are infinite where the count is broken."""

    turns: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.turns) and self.turns > 0 and self.low <= self.turns <= self.high):
            raise ValueError(
                f"a count of {self.turns:g} turns in {self.low:g} to {self.high:g}, expected more than 0 and within"
            )

    @classmethod
    def exactly(cls, turns: float) -> Counted:
        return cls(turns, turns, turns)

    @property
    def bounded(self) -> bool:
        return math.isfinite(self.low) and math.isfinite(self.high)

    @property
    def certain(self) -> bool:
        return self.low == self.high

    @property
    def u(self) -> float:
        """Standard uncertainty [turns]: the interval as a rectangular distribution (JCGM 100:2008, 4.3.7)."""
        return (self.high - self.low) / 2 / math.sqrt(3.0)

    def as_body(self) -> dict[str, Any]:
        return {
            "turns": self.turns,
            "low": _finite(self.low),
            "high": _finite(self.high),
        }


@dataclass(frozen=True)
class Says:
    """Turns that a measurement says, low and high with k = 2."""

    turns: float
    low: float
    high: float

    @property
    def half(self) -> float:
        return (self.high - self.low) / 2

    def as_body(self) -> dict[str, Any]:
        return {"turns": self.turns, "low": _finite(self.low), "high": _finite(self.high), "k": COVERAGE}


@dataclass(frozen=True)
class Explanation:
    """One cause that fits to within k = 2.  size, low, high: in the unit that the cause has;  weight: how much better
    or worse it fits than the best one, which has 1: an order, no probability;  what: a name where there is one."""

    cause: Cause
    size: float
    low: float
    high: float
    weight: float
    what: str = ""

    def as_body(self) -> dict[str, Any]:
        return {
            "cause": self.cause.value,
            "size": self.size,
            "low": self.low,
            "high": self.high,
            "weight": self.weight,
            "what": self.what,
        }


def conclude(says: Says, counted: Counted, layer: float, one_layer: bool) -> Conclusion:
    """Agrees where the two intervals meet, disagrees where they do not, can't tell where either is so wide that a
    layer miscounted would pass.

    layer: turns of a full layer [turns];  one_layer: whether there is no other; then a tenth of the turns takes the
    place of the layer, at least one turn.
    """
    if not counted.bounded:
        return Conclusion.CANT_TELL
    if counted.high < says.low or counted.low > says.high:
        return Conclusion.DISAGREES
    widest = max(1.0, _SHARE_OF_ONE_LAYER * counted.turns) if one_layer else layer
    if max(says.half, (counted.high - counted.low) / 2) >= widest:
        return Conclusion.CANT_TELL
    return Conclusion.AGREES


def sees(says: Says, counted: Counted) -> float:
    """The smallest miscount [turns] that a check as sharp as this one calls a disagreement in 19 cases of 20."""
    blur = (counted.high - counted.low) / 2 if counted.bounded else math.inf
    return says.half * (1 + _ONE_SIDED_95 / COVERAGE) + blur


def worst(conclusions: tuple[Conclusion, ...]) -> Conclusion:
    """A disagreement goes before what can't be told, and that before agreement."""
    for one in (Conclusion.DISAGREES, Conclusion.CANT_TELL):
        if one in conclusions:
            return one
    return Conclusion.AGREES


def _finite(turns: float) -> float | None:
    """A bound as it is stored: None where nothing bounds it."""
    return turns if math.isfinite(turns) else None
