"""A request in the words that a person reads: what to do, and between which leads."""

from __future__ import annotations

from bench.acceptance.entering import span_text
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, OperatorRequest, Wait
from bench.job.model import Job
from bench.quantities import show

__all__ = ["lead_named", "request_lines", "source_named"]


def request_lines(request: OperatorRequest, job: Job, *, counts_down: bool = False) -> list[str]:
    """What to do, then where; `job` gives the leads their tags and colours; counts_down: the end of a wait is told."""
    match request:
        case Confirm():
            return [f"> {request.text}"]
        case Enter(reading_of=Connect() as place):
            return [f"> {request.text}", *_places(place, job)]
        case Enter():
            return [f"> {request.text}"]
        case Connect():
            return [f"> {request.text}", *_places(request, job)]
        case Wait():
            over = "" if counts_down else " Enter when the time is over."
            return [f"> {request.text} {span_text(request.seconds)}.{over}"]
        case Load(ohms=None):
            return [f"> Take the load off {request.winding}."]
        case Load():
            places = f"{lead_named(request.from_terminal, job)} and {lead_named(request.to_terminal, job)}"
            return [
                f"> {request.text or f'Load {request.winding}.'}",
                f"  {show(request.ohms or 0.0, 'ohm')} on {places}: {show(request.amps, 'A')}, "
                f"{show(request.watts, 'W')} of heat; it gets hot.",
            ]
        case Excite(volts=0.0):
            return [f"> {request.text or 'Volts to zero, supply off.'}"]
        case Excite():
            limiter = " through the limiter" if request.limiter else ""
            series = "" if request.series_ohms is None else f", {request.series_ohms:g} ohm in series"
            # A source of low volts is asked for no finer than it can be set.
            volts = show(request.volts, "V", 2 if request.source == "low voltage" else 4)
            places = f"{lead_named(request.from_terminal, job)} and {lead_named(request.to_terminal, job)}"
            return [
                *([f"> {request.text}"] if request.text else []),
                f"> Feed {request.winding}{limiter}{series}: {volts}, {request.hertz:g} Hz, "
                f"from the {source_named(request.source)}, on {places}.",
                f"  The most on any terminal of this unit: {request.hazard:.0f} V.",
            ]


def source_named(source: str) -> str:
    """A source as a person calls it."""
    return "isolated low-voltage source" if source == "low voltage" else source


def _places(place: Connect, job: Job) -> list[str]:
    lines = [f"  {place.quantity} from {lead_named(place.from_terminal, job)} to {lead_named(place.to_terminal, job)}"]
    lines += [f"  join {lead_named(a, job)} and {lead_named(b, job)}" for a, b in place.links]
    return lines


def lead_named(terminal: str, job: Job) -> str:
    """A terminal with the tag and colour of its lead: `ht.centre, 4 (red-yellow)`."""
    marks = job.marks(terminal)
    return f"{terminal}, {marks}" if marks else terminal
