"""Where each winding lies on the former: its layers, its distance from the tongue, its mean turn."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.job.model import Job
from bench.job.winding import Winding
from bench.rehearsal.problems import RehearsalProblem

__all__ = ["Seat", "seats", "wire_diameter"]

# Coils bulge: their corners lie between square (8 per unit of distance) and round (2 pi).
_CORNER = 7.0


@dataclass(frozen=True, slots=True)
class Seat:
    """Distance of the inner side from the tongue, radial build, both [m]; perimeter of the bare tongue [m]."""

    inner: float
    build: float
    perimeter: float

    def mean_turn(self, share: float = 0.5) -> float:
        """Length [m] of a turn that lies at a share of the build, 0 inside to 1 outside."""
        return self.perimeter + _CORNER * (self.inner + share * self.build)


def wire_diameter(winding: Winding) -> float:
    """Bare diameter [m] of one strand; where the job gives none, what 3 A/mm2 asks for; raises RehearsalProblem."""
    if winding.wire is not None:
        return winding.wire.diameter
    if winding.rated_current is not None:
        return math.sqrt(4 * winding.rated_current / winding.strands / (math.pi * 3e6))
    raise RehearsalProblem(f"winding.{winding.name}.wire: missing, expected a wire or a rated_current to rehearse")


def seats(job: Job) -> dict[str, Seat]:
    """Seat of every winding and screen, laid from inside to outside; raises RehearsalProblem."""
    shape, stack = job.core.shape, job.core.stack
    if shape is None or stack is None:
        raise RehearsalProblem("core: lamination or stack missing, expected both to rehearse this job")
    perimeter = 2 * (shape.tongue + stack)
    insulation = job.insulation
    margin = 2e-3 if insulation.margin is None else insulation.margin
    between_layers = 0.05e-3 if insulation.between_layers is None else insulation.between_layers
    between_windings = 0.3e-3 if insulation.between_windings is None else insulation.between_windings
    width = max(shape.window_height - 2 * margin, 1e-3)
    at = 1e-3 if insulation.former_thickness is None else insulation.former_thickness
    found: dict[str, Seat] = {}
    for winding in job.winding:
        if winding.turns is None:
            raise RehearsalProblem(f"winding.{winding.name}.turns: missing, expected them to rehearse this job")
        covered = _covered(wire_diameter(winding))
        layers = len(winding.layers) or math.ceil(winding.turns * winding.strands * covered / width)
        build = layers * covered + (layers - 1) * between_layers
        found[winding.name] = Seat(at, build, perimeter)
        at += build + between_windings
        for screen in job.screen:
            if screen.after == winding.name:
                found[screen.name] = Seat(at, screen.thickness, perimeter)
                at += screen.thickness + between_windings
    return found


def _covered(diameter: float) -> float:
    """Diameter [m] over the enamel of a wire: grade 2, roughly."""
    return diameter + 0.02e-3 + 0.06 * math.sqrt(diameter * 1e-3)
