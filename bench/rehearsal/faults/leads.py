"""Ends of a winding that are exchanged, badly joined, or that nothing comes out of."""

from __future__ import annotations

from bench.quantities import Dimension
from bench.rehearsal.faults.model import Fault, Place, SizeKind
from bench.rehearsal.faults.request import Request, fewest_turns, thinnest_wire

__all__ = ["joint_poor", "leads_swapped", "winding_open", "winding_reversed"]


def winding_reversed(request: Request) -> Fault:
    """Start and finish exchanged, or one half wound the other way."""
    request.no_size()
    return Fault(request.name, (request.one_place(fewest_turns),))


def winding_open(request: Request) -> Fault:
    """The wire is broken in the middle."""
    request.no_size()
    return Fault(request.name, (request.one_place(thinnest_wire),))


def joint_poor(request: Request) -> Fault:
    """So many ohms in series at the finish or at the named tap's lead; 20 % of the whole winding's own."""
    place = request.one_place(thinnest_wire)
    if request.size and not request.size.endswith("%"):
        size = request.number(SizeKind.PART_OF_OHMS, Dimension.RESISTANCE, 1.0, 0.0, 1e6)
        return Fault(request.name, (place,), size, SizeKind.OHMS)
    share = request.number(SizeKind.PART_OF_OHMS, Dimension.RATIO, 1.0, 0.0, 100.0) if request.size else 0.20
    return Fault(request.name, (place,), share, SizeKind.PART_OF_OHMS)


def leads_swapped(request: Request) -> Fault:
    """The leads of two windings are marked as each other's."""
    request.no_size()
    if not request.written:
        names = [w.name for w in sorted(request.job.secondaries, key=lambda w: w.turns or 0)][:2]
        if len(names) < 2:
            raise request.refuse("this job has a single secondary, expected two windings such as primary,heater")
        return Fault(request.name, tuple(Place(name) for name in names))
    places = tuple(request.place(text) for text in request.written)
    if len(places) != 2 or len({place.name for place in places}) != 2 or any(place.tap for place in places):
        raise request.refuse(f"{','.join(request.written)!r} given, expected two windings such as primary,heater")
    return Fault(request.name, places)
