"""Windings with several strands in hand that are not alike, or not all joined."""

from __future__ import annotations

from bench.job.model import Job
from bench.rehearsal.faults.model import Fault, Place, SizeKind
from bench.rehearsal.faults.request import MOST_TURNS, Request

__all__ = ["strand_open", "strands_unequal"]


def strand_open(request: Request) -> Fault:
    """One strand is broken, or not soldered; in the named half, or in the whole winding."""
    request.no_size()
    return Fault(request.name, (_several_in_hand(request),))


def strands_unequal(request: Request) -> Fault:
    """One strand has so many turns more (negative: less) than the others that it is joined with, 1."""
    place = _several_in_hand(request)
    turns = request.turns_at(place)
    more = request.whole(SizeKind.WHOLE_TURNS, MOST_TURNS, "turns", "turn") if request.size else 1
    request.turns_off(f"{more:+d}", turns, more)
    return Fault(request.name, (place,), float(more), SizeKind.WHOLE_TURNS)


def _several_in_hand(request: Request) -> Place:
    names = [winding.name for winding in request.windings() if winding.strands > 1]
    if not names:
        raise request.refuse("this job has no winding with two strands in hand, expected a job with one")
    place = request.one_place(_first_with_several)
    if place.name not in names:
        raise request.refuse(f"{place.name} is wound with one strand, expected one of {', '.join(names)}")
    return place


def _first_with_several(job: Job) -> str:
    return next(winding.name for winding in job.winding if winding.strands > 1)
