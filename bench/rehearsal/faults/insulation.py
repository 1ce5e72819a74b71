"""Insulation between two bodies that lets current through."""

from __future__ import annotations

from bench.quantities import Dimension
from bench.rehearsal.faults.model import Fault, Place, SizeKind
from bench.rehearsal.faults.request import Request, primary

__all__ = ["insulation_low"]


def insulation_low(request: Request) -> Fault:
    """So many ohms between two of windings, screens and core, 0.5 Mohm."""
    wound = [w.name for w in request.windings()]
    bodies = wound + [s.name for s in request.job.screen] + ["core"]
    pair = list(request.written) or [primary(request.job)]
    for name in pair:
        if name not in bodies:
            raise request.refuse(f"{name!r} is not in the job, expected two of {', '.join(bodies)}")
    if len(pair) == 1:
        after = bodies[bodies.index(pair[0]) + 1 :] or bodies[:-1]
        pair.append(next((name for name in after if name in wound), "core"))
    if len(pair) != 2 or pair[0] == pair[1]:
        raise request.refuse(f"{','.join(request.written)!r} given, expected two of {', '.join(bodies)}")
    size = request.number(SizeKind.MEGOHMS, Dimension.RESISTANCE, 1e6, 1e3, 1e12) if request.size else 0.5e6
    return Fault(request.name, tuple(Place(name) for name in pair), size, SizeKind.MEGOHMS)
