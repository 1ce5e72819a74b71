"""A tap that is brought out at another turn than the job says."""

from __future__ import annotations

from bench.job.model import Job
from bench.rehearsal.faults.model import Fault, Place, SizeKind
from bench.rehearsal.faults.request import MOST_TURNS, Request

__all__ = ["tap_misplaced"]


def tap_misplaced(request: Request) -> Fault:
    """The tap comes so many turns too late (negative: too early), 2; the whole winding keeps its turns."""
    tapped = [f"{winding.name}.{tap.name}" for winding in request.windings() for tap in winding.taps]
    if not tapped:
        raise request.refuse("this job has no tapped winding, expected a job with one")
    place = request.one_place(_first_tapped)
    winding = request.job.get_winding(place.name)
    tap = place.tap or next((tap.name for tap in winding.taps), "")
    if f"{place.name}.{tap}" not in tapped:
        raise request.refuse(f"{str(place)!r} is no tap, expected {', '.join(tapped)}")
    late = request.whole(SizeKind.WHOLE_TURNS, MOST_TURNS, "turns", "turn") if request.size else 2
    before, after = (turns for begin, end, turns in winding.sections if tap in (begin, end))
    request.turns_off(f"{late:+d}", before, late)
    request.turns_off(f"{late:+d}", after, -late)
    return Fault(request.name, (Place(place.name, tap),), float(late), SizeKind.WHOLE_TURNS)


def _first_tapped(job: Job) -> str:
    return next(winding.name for winding in job.winding if winding.taps)
