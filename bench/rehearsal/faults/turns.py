"""Turns that are too many, too few or shorted."""

from __future__ import annotations

from bench.quantities import Dimension
from bench.rehearsal.faults.model import Fault, SizeKind
from bench.rehearsal.faults.request import MOST_TURNS, Request, fewest_turns, primary

__all__ = ["turns_shorted", "turns_wrong"]


def turns_wrong(request: Request) -> Fault:
    """So many turns too many, or too few; 1 % of the primary or 2 turns of the shortest secondary."""
    place = request.one_place(fewest_turns)
    turns = request.turns_at(place)
    size = request.size or ("1 %" if request.job.get_winding(place.name) == request.job.primary else "2")
    asked = Request(request.name, request.job, (), size)
    if size.endswith("%"):
        share = asked.number(SizeKind.TURNS, Dimension.RATIO, 1.0, -0.5, 0.5)
        wrong = round(share * turns) or (share > 0) - (share < 0)
    else:
        wrong = asked.whole(SizeKind.TURNS, MOST_TURNS, "turns", "turn")
    request.turns_off(size, turns, wrong)
    return Fault(request.name, (place,), float(wrong), SizeKind.TURNS)


def turns_shorted(request: Request) -> Fault:
    """One turn shorted through so many ohms, 0.02 ohm at the primary."""
    place = request.one_place(primary)
    size = request.number(SizeKind.OHMS, Dimension.RESISTANCE, 1.0, 0.0, 1e3) if request.size else 0.02
    return Fault(request.name, (place,), size, SizeKind.OHMS)
