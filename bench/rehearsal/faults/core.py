"""A core that is not as it was stacked on paper."""

from __future__ import annotations

from bench.quantities import Dimension
from bench.rehearsal.faults.model import Fault, SizeKind
from bench.rehearsal.faults.request import Request

__all__ = ["core_gap", "core_stack_short", "core_steel_degraded", "laminations_bridged"]


def core_gap(request: Request) -> Fault:
    """Air in the joints, 0.05 mm of it in all."""
    request.no_place()
    size = request.number(SizeKind.GAP, Dimension.LENGTH, 1e-3, 0.0, 5e-3) if request.size else 0.05e-3
    return Fault(request.name, (), size, SizeKind.GAP)


def core_stack_short(request: Request) -> Fault:
    """So much of the stack left out, 10 %."""
    request.no_place()
    size = request.number(SizeKind.SHARE, Dimension.RATIO, 1e-2, 0.0, 0.5) if request.size else 0.10
    return Fault(request.name, (), size, SizeKind.SHARE)


def core_steel_degraded(request: Request) -> Fault:
    """Laminations bent, filed or overheated: the steel loses so many times as much, 1.5 times."""
    request.no_place()
    size = request.number(SizeKind.FACTOR, Dimension.RATIO, 1.0, 1.0, 10.0) if request.size else 1.5
    return Fault(request.name, (), size, SizeKind.FACTOR)


def laminations_bridged(request: Request) -> Fault:
    """Burrs or a bolt without its sleeve join laminations: eddy watts on top, 50 % of the good core's at nominal."""
    request.no_place()
    size = request.number(SizeKind.PART_OF_LOSS, Dimension.RATIO, 1e-2, 0.0, 10.0) if request.size else 0.5
    return Fault(request.name, (), size, SizeKind.PART_OF_LOSS)
