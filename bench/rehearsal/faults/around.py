"""Nothing wrong with the unit: a good one, a hand that reads wrong, a supply that is another."""

from __future__ import annotations

from bench.quantities import Dimension
from bench.rehearsal.faults.model import Fault, Place, SizeKind
from bench.rehearsal.faults.request import Request, primary

__all__ = ["none", "reading_wrong", "supply_wrong"]


def none(request: Request) -> Fault:
    """No fault at all."""
    request.no_place()
    request.no_size()
    return Fault(request.name)


def reading_wrong(request: Request) -> Fault:
    """A reading taken at the wrong terminals, or with a slipped decimal point."""
    request.no_size()
    if not request.written:
        return Fault(request.name)
    return Fault(request.name, (Place(request.one_place(primary).name),))


def supply_wrong(request: Request) -> Fault:
    """A supply of another frequency, the other of 50 and 60 Hz; or of so much distortion."""
    request.no_place()
    if request.size.endswith("%"):
        share = request.number(SizeKind.HERTZ, Dimension.RATIO, 1.0, 0.0, 0.5)
        return Fault(request.name, (), share, SizeKind.DISTORTION)
    if request.size:
        hertz = request.number(SizeKind.HERTZ, Dimension.FREQUENCY, 1.0, 10.0, 1000.0)
        return Fault(request.name, (), hertz, SizeKind.HERTZ)
    meant = request.job.supply.frequency if request.job.supply else 50.0
    return Fault(request.name, (), 50.0 if abs(meant - 60.0) < 1.0 else 60.0, SizeKind.HERTZ)
