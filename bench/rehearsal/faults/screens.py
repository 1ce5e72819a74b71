"""A screen that closes on itself, or that earth does not reach."""

from __future__ import annotations

from bench.quantities import Dimension
from bench.rehearsal.faults.model import Fault, Place, SizeKind
from bench.rehearsal.faults.request import Request

__all__ = ["screen_closed", "screen_unearthed"]


def screen_closed(request: Request) -> Fault:
    """Its ends touch through so many ohms, 0.01 ohm: a shorted turn."""
    place = _screen(request)
    size = request.number(SizeKind.OHMS, Dimension.RESISTANCE, 1.0, 0.0, 1e3) if request.size else 0.01
    return Fault(request.name, (place,), size, SizeKind.OHMS)


def screen_unearthed(request: Request) -> Fault:
    """Its earth wire is broken off the foil."""
    request.no_size()
    return Fault(request.name, (_screen(request),))


def _screen(request: Request) -> Place:
    screens = [screen.name for screen in request.job.screen]
    if not screens:
        raise request.refuse("this job has no screen, expected a job with a [[screen]]")
    name = request.written[0] if request.written else screens[0]
    if len(request.written) > 1 or name not in screens:
        raise request.refuse(f"screen {','.join(request.written)!r} is not in the job, expected {', '.join(screens)}")
    return Place(name)
