"""Where each winding of a job lies on the former: its layers from the leg outwards."""

from __future__ import annotations

from dataclasses import dataclass

from bench.design.insulation_taken import insulation_taken
from bench.job.model import Job
from bench.job.winding import Winding
from bench.job.wire import overall_diameter
from bench.magnetics.former import LayerBuild, build_layers, layer_turns, mean_turn, turns_per_layer, winding_length

__all__ = ["Seat", "enamelled", "mean_turns", "seats", "section_mean_turn"]

_UNSTATED_GRADE = 1
"""Enamel of wire whose grade nobody gave: the most of grade 1 is about the least of grade 2, so it suits either."""


@dataclass(frozen=True)
class Seat:
    """The layers of one winding, inside first;  length [m]: of a layer along the leg."""

    layers: tuple[LayerBuild, ...]
    length: float

    @property
    def inner(self) -> float:
        """Height of its inner face over the leg [m]."""
        return self.layers[0].inner

    @property
    def outer(self) -> float:
        """Height of its outer face over the leg [m]."""
        return self.layers[-1].outer


def seats(job: Job) -> dict[str, Seat]:
    """The seat of each winding in the job's order; those lack that can't be laid for want of wire, turns or room.

    So do all that would be built up where margins and former leave no winding length in the window, and those from the
    first winding on of which not one turn fits.
    """
    shape, stack = job.core.shape, job.core.stack
    found: dict[str, Seat] = {}
    if shape is None or stack is None:
        return found
    laid = insulation_taken(job.insulation)
    height = laid.former
    for winding in job.winding:
        if winding.wire is None or winding.turns is None:
            break
        try:
            length = winding_length(shape.window_height, laid.margin, laid.former)
            overall = enamelled(winding)
            layers = winding.layers or layer_turns(winding.turns, turns_per_layer(overall, winding.strands, length))
        except ValueError:
            break
        built = build_layers(shape.tongue, stack, height, layers, overall, laid.between_layers)
        found[winding.name] = Seat(built, length)
        screens = [screen.thickness for screen in job.screen if screen.after == winding.name]
        height = built[-1].outer + laid.between_windings + sum(one + laid.between_windings for one in screens)
    return found


def enamelled(winding: Winding) -> float:
    """Diameter [m] of a winding's wire over its enamel; raises ValueError while it has no wire."""
    if winding.wire is None:
        raise ValueError(f"winding.{winding.name}.wire: missing")
    return overall_diameter(winding.wire.diameter, winding.grade or _UNSTATED_GRADE)


def mean_turns(job: Job) -> dict[str, float]:
    """Mean turn [m] of each winding: as the job has it, else by its seat; unknown ones lack."""
    laid = seats(job)
    found = {}
    for winding in job.winding:
        if winding.mean_turn is not None:
            found[winding.name] = winding.mean_turn
        elif winding.name in laid:
            found[winding.name] = mean_turn(laid[winding.name].layers)
    return found


def section_mean_turn(job: Job, laid: dict[str, Seat], name: str, first: int, last: int) -> float | None:
    """Mean turn [m] from turn `first` to turn `last` of a winding: the outer half's is longer than the inner's."""
    own, seat = job.get_winding(name).mean_turn, laid.get(name)
    if seat is None:
        return own
    section = mean_turn(seat.layers, first, last)
    return section if own is None else own * section / mean_turn(seat.layers)
