"""Wire of another size than the job's."""

from __future__ import annotations

from bench.rehearsal.faults.model import Fault, Place, SizeKind
from bench.rehearsal.faults.request import Request, primary

__all__ = ["SIZE_STEP", "wire_wrong"]

SIZE_STEP = 1.1225
"""Ratio of the diameters of two wires that are next to each other on the shelf.

Between one number of the American gauge, 92^(1/39) = 1.1229 (ASTM B258), and one size of the series R20 of metric wire,
10^(1/20) = 1.1220 (ISO 3, IEC 60317-0-1). Neighbours in profiles/wires/iec.toml are rounded to within 2 % of it; the
British gauge has steps of its own, for which this stands as a mean.
"""
_MOST = 6  # steps: twice or half the diameter


def wire_wrong(request: Request) -> Fault:
    """Wound with wire so many sizes thicker (negative: thinner), 1 thicker."""
    place = request.one_place(primary)
    if place.tap:
        raise request.refuse(f"{str(place)!r} given, expected the whole winding {place.name}")
    steps = request.whole(SizeKind.STEPS, _MOST, "steps", "step") if request.size else 1
    if steps == 0:
        raise request.refuse(f"size {request.size!r} is the wire of the job, expected {SizeKind.STEPS.value}")
    return Fault(request.name, (Place(place.name),), float(steps), SizeKind.STEPS)
