"""What happened to the count, in the words of somebody who stands at the winding machine."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from drivers.counting import BadLine, Bounded, Bridged, Broken, Corrected, LinkCameBack, LinkWentAway

__all__ = ["Happening", "Weight", "happening_of"]


class Weight(StrEnum):
    """How much a happening asks of the person."""

    WELL = "well"
    NOTE = "note"
    ACT = "act"


@dataclass(frozen=True)
class Happening:
    """A line for the person; at [s, monotonic]."""

    at: float
    weight: Weight
    words: str


def happening_of(event: Any, at: float) -> Happening:
    """The line that tells an event of the counter."""
    match event:
        case Bridged(lines=lines):
            lost = f"{lines} {'line' if lines == 1 else 'lines'} lost on the way"
            return Happening(at, Weight.WELL, f"{lost}; the board kept the count, no turn lost")
        case Bounded(low=low, high=high, why=why):
            return Happening(at, Weight.ACT, f"Count between {low:.1f} and {high:.1f}: {why}")
        case Broken(why=why):
            return Happening(at, Weight.ACT, f"Count lost: {why}")
        case BadLine(reason=reason):
            return Happening(at, Weight.NOTE, f"A damaged line was not used: {reason}")
        case Corrected(turns=turns, reason=reason):
            return Happening(at, Weight.NOTE, f"Count set to {turns:.1f}: {reason}")
        case LinkWentAway():
            return Happening(at, Weight.ACT, "The counter's line went away: plug its cable in again")
        case LinkCameBack(away_s=away, port=port):
            where = f", now as {port}" if port else ""
            return Happening(at, Weight.WELL, f"The counter's line is back after {away:.1f} s{where}")
    return Happening(at, Weight.NOTE, type(event).__name__)
