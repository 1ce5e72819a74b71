"""Where the leads seem to be, by what the meter shows: where they should, nowhere, shorted, or on other terminals."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from bench.acceptance.requests import Due
from bench.quantities import show
from drivers.reading import Quantity, State

__all__ = ["Look", "Seems", "where_the_leads_seem"]

_NOTHING = 0.03  # of what is due: hum on open leads is less at any volts that are worth reading
_SHORT = 0.05
_NEAR = 0.12  # so near another winding's value it looks like that one
_OHMS = (Quantity.RESISTANCE, Quantity.RESISTANCE_4W)


class Seems(Enum):
    """What the reading looks like."""

    RIGHT = "right"
    NOTHING = "nothing there"
    OPEN = "open"
    SHORT = "short"
    ELSEWHERE = "elsewhere"
    FAR = "far from what is due"


@dataclass(frozen=True)
class Look:
    """seems, and the same in words for the person; empty where all is right."""

    seems: Seems
    words: str = ""

    @property
    def right(self) -> bool:
        return self.seems is Seems.RIGHT


def where_the_leads_seem(quantity: Quantity, state: State, value: float | None, due: Due | None) -> Look:
    """Judge one reading [SI] by what is due; with nothing due, all is right.

    A faulty unit can read the same as wrong leads: this asks the person to look, and never judges the unit.
    """
    if due is None:
        return Look(Seems.RIGHT)
    is_due = f"{_text(due.value, quantity)} due" if due.value else "next to nothing due"
    if state is not State.GOOD or value is None:
        if quantity in _OHMS:
            return Look(Seems.OPEN, f"open, no current passes ({is_due}): leads off, no contact, or a break")
        return Look(Seems.FAR, f"the meter shows {state}: {is_due}")
    size = abs(value)
    if due.low <= size <= due.high:
        return Look(Seems.RIGHT)
    shown = _text(value, quantity)
    place = min(due.others, key=lambda other: abs(size - other[1]) / other[1] if other[1] else 1e9, default=None)
    if place is not None and place[1] and abs(size - place[1]) <= _NEAR * place[1]:
        return Look(Seems.ELSEWHERE, f"looks like {place[0]}: {shown} where {_text(due.value, quantity)} are due")
    if quantity in _OHMS and size < _SHORT * due.value:
        return Look(Seems.SHORT, f"a short: {shown} where {_text(due.value, quantity)} are due")
    if quantity not in _OHMS and size < _NOTHING * due.value:
        return Look(Seems.NOTHING, f"nothing there: {shown} ({is_due})")
    return Look(Seems.FAR, f"far from what is due: {shown} ({is_due})")


def _text(value: float, quantity: Quantity) -> str:
    return show(value, quantity.unit, 3)
