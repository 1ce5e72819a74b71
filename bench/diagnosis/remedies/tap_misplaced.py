"""A tap at the wrong turn: the sections as they are, or unwound to the tap."""

from __future__ import annotations

from bench.diagnosis.remedies.unit import Unit, open_volts
from bench.diagnosis.remedies.words import UNPLUGGED, opened, stripping, turns
from bench.quantities import show

__all__ = ["rungs"]


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    moved = round(unit.variant.turns_added.get(place, 0.0))
    beside = next((name for name in unit.variant.turns_added if name != place and _neighbours(unit, place, name)), "")
    if not moved or not beside:
        return ()
    winding = unit.design.spans[place].winding
    whole = show(open_volts(unit.as_it_is, winding), "V", 4)
    as_they_are = f"leave it: {opened(unit, place)} and {opened(unit, beside)} at nominal, {winding} as a whole {whole}"
    if any(load.winding == winding and load.rectifier == "full-wave" for load in unit.job.load):
        as_they_are += "; a full-wave rectifier then ripples at the mains frequency too (from memory)"
    where = "out of the turn that it is in, " + f"{turns(moved)} {'earlier' if moved > 0 else 'later'}"
    strip = stripping(unit, winding)
    unwind = f"{f'{strip}, ' if strip else ''}unwind {winding} to its tap and bring it {where}: both as drawn"
    return as_they_are, f"{UNPLUGGED}take the core out, {unwind}"


def _neighbours(unit: Unit, one: str, other: str) -> bool:
    spans = unit.design.spans
    return other in spans and not spans[other].whole and spans[other].winding == spans[one].winding
