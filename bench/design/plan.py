"""The winding as it will be wound: every layer with its place, pitch and direction, from a job that is filled in.

This is the one object from which sheet, section, support block, winding program and hints are drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.design.insulation_taken import insulation_taken
from bench.design.seats import enamelled, seats
from bench.job.core import CoreShape
from bench.job.model import Job
from bench.job.winding import Screen, Winding
from bench.magnetics.copper import wire_mass, wire_resistance
from bench.magnetics.former import PACKING, LayerBuild, window_fill

__all__ = [
    "Direction",
    "PlannedLayer",
    "PlannedScreen",
    "PlannedTap",
    "PlannedWinding",
    "WindingPlan",
    "plan_of",
    "plan_or_none",
]

Direction = int
"""+1: the traverse runs from the left flange to the right one, -1: back."""


@dataclass(frozen=True)
class PlannedTap:
    """A lead brought out after `turn` turns from the start; `in_layer`: turns of its layer that lie before it;
    position [m]: from the left flange's inner face."""

    name: str
    turn: int
    in_layer: float
    position: float


@dataclass(frozen=True)
class PlannedLayer:
    """One layer.  number from 1 within its winding;  first_turn: turns of the winding that lie before it;  inner, outer
    [m]: height over the leg;  start [m]: where its first turn lies, from the left flange's inner face;  pitch [m]:
    traverse for one turn;  direction."""

    number: int
    turns: int
    first_turn: int
    inner: float
    outer: float
    mean_turn: float
    start: float
    pitch: float
    direction: Direction
    taps: tuple[PlannedTap, ...]

    @property
    def end(self) -> float:
        """Where its last turn ends [m], from the left flange's inner face."""
        return self.place(self.turns)

    def place(self, turns: float) -> float:
        """How far the wire has come after so many turns of this layer [m], from the left flange's inner face."""
        return self.start + self.direction * turns * self.pitch

    def wires(self, strands: int) -> tuple[float, ...]:
        """Middle of each strand of each turn [m], from the left flange's inner face, in the order of winding."""
        return tuple(
            self.place(turn + (strand + 0.5) / strands) for turn in range(self.turns) for strand in range(strands)
        )


@dataclass(frozen=True)
class PlannedWinding:
    """One winding in its layers.  overall [m]: wire over its enamel;  wire_length [m] of each strand, without leads;
    mass [kg] of copper in all strands;  resistance [ohm] at 20 degC."""

    winding: Winding
    overall: float
    layers: tuple[PlannedLayer, ...]
    wire_length: float
    mass: float
    resistance: float

    @property
    def name(self) -> str:
        return self.winding.name

    @property
    def inner(self) -> float:
        return self.layers[0].inner

    @property
    def outer(self) -> float:
        return self.layers[-1].outer

    @property
    def ends_where_it_began(self) -> bool:
        """Whether start and finish leave at the same flange: an even number of layers."""
        return len(self.layers) % 2 == 0


@dataclass(frozen=True)
class PlannedScreen:
    """A foil on a winding;  inner, outer [m]: height over the leg, without its insulation;  length [m]: round once,
    with the overlap that must stay insulated;  width [m] along the leg."""

    screen: Screen
    inner: float
    outer: float
    length: float
    width: float


@dataclass(frozen=True)
class WindingPlan:
    """shape of the core and stack [m];  former [m]: thickness of its wall and flanges;  margin [m] at either end;
    length [m]: of a layer along the leg;  between_layers, between_windings [m];  items in the order of winding;
    outer [m]: height of the outermost face over the leg, with the last cover."""

    job: Job
    shape: CoreShape
    stack: float
    former: float
    margin: float
    length: float
    between_layers: float
    between_windings: float
    items: tuple[PlannedWinding | PlannedScreen, ...]
    outer: float

    @property
    def windings(self) -> tuple[PlannedWinding, ...]:
        return tuple(one for one in self.items if isinstance(one, PlannedWinding))

    @property
    def screens(self) -> tuple[PlannedScreen, ...]:
        return tuple(one for one in self.items if isinstance(one, PlannedScreen))

    @property
    def fill(self) -> float:
        """Part of the window's width that the build takes; above 1 it does not fit."""
        return window_fill(self.outer, self.shape.window_width)

    @property
    def room_left(self) -> float:
        """What is left of the window's width [m]; negative where it does not fit."""
        return self.shape.window_width - self.outer

    @property
    def between_flanges(self) -> float:
        """Room between the former's flanges [m]."""
        return self.length + 2 * self.margin

    def winding(self, name: str) -> PlannedWinding:
        """Raises KeyError."""
        for one in self.windings:
            if one.name == name:
                return one
        raise KeyError(name)


_OVERLAP = 8e-3
"""Overlap of a screen, with insulation between its ends [m] (common practice, no source)."""


def plan_of(job: Job) -> WindingPlan:
    """The plan of a job whose windings all have turns and wire; raises ValueError with what is missing or has no room.

    Layers run to and fro from the left flange.  The pitch is that of a hand-wound layer, overall diameter x strands
    over the packing; a layer that the job has fuller than that is wound closer, down to wire against wire.
    """
    shape, stack = job.core.shape, job.core.stack
    missing = []
    if shape is None:
        missing.append("core.lamination, or core.tongue, window_width and window_height")
    if stack is None:
        missing.append("core.stack")
    missing += [f"winding.{one.name}.turns" for one in job.winding if one.turns is None]
    missing += [f"winding.{one.name}.wire" for one in job.winding if one.wire is None]
    if not job.winding:
        missing.append("a winding")
    if missing:
        raise ValueError("the plan needs " + ", ".join(missing))
    assert shape is not None
    assert stack is not None
    laid = seats(job)
    homeless = [one.name for one in job.winding if one.name not in laid]
    if homeless:
        raise ValueError(
            f"no room for {', '.join(homeless)}: a window {shape.window_height * 1e3:.4g} mm high, less former and "
            "margins, does not hold one turn of it"
        )
    taken = insulation_taken(job.insulation)
    length = next(iter(laid.values())).length
    items: list[PlannedWinding | PlannedScreen] = []
    for winding in job.winding:
        planned = _winding(winding, laid[winding.name].layers, taken.margin, length)
        items.append(planned)
        height = planned.outer
        for screen in (one for one in job.screen if one.after == winding.name):
            inner = height + taken.between_windings
            outer = inner + screen.thickness
            around = 2 * (shape.tongue + stack) + 2 * math.pi * (inner + outer) / 2
            items.append(PlannedScreen(screen, inner, outer, around + _OVERLAP, length))
            height = outer
    return WindingPlan(
        job=job,
        shape=shape,
        stack=stack,
        former=taken.former,
        margin=taken.margin,
        length=length,
        between_layers=taken.between_layers,
        between_windings=taken.between_windings,
        items=tuple(items),
        outer=items[-1].outer + taken.between_windings,
    )


def plan_or_none(job: Job) -> WindingPlan | None:
    """The same; None where the job isn't filled in enough for one."""
    try:
        return plan_of(job)
    except ValueError:
        return None


def _winding(winding: Winding, built: tuple[LayerBuild, ...], margin: float, length: float) -> PlannedWinding:
    assert winding.wire is not None
    overall = enamelled(winding)
    wide = overall * winding.strands
    layers = []
    begun, position, direction = 0, margin, 1
    for number, one in enumerate(built, start=1):
        pitch = min(wide / PACKING, length / one.turns)
        if pitch < wide * 0.999:
            raise ValueError(
                f"layer {number} of {winding.name}: {one.turns} turns of {wide * 1e3:.3g} mm need "
                f"{one.turns * wide * 1e3:.4g} mm, and a layer has {length * 1e3:.4g} mm"
            )
        taps = tuple(
            PlannedTap(tap.name, tap.turn, tap.turn - begun, position + direction * (tap.turn - begun) * pitch)
            for tap in winding.taps
            if begun < tap.turn <= begun + one.turns
        )
        layers.append(
            PlannedLayer(
                number, one.turns, begun, one.inner, one.outer, one.mean_turn, position, pitch, direction, taps
            )
        )
        begun += one.turns
        position += direction * one.turns * pitch
        direction = -direction
    own = winding.mean_turn
    wire = sum(one.turns * (own if own is not None else one.mean_turn) for one in layers)
    return PlannedWinding(
        winding=winding,
        overall=overall,
        layers=tuple(layers),
        wire_length=wire,
        mass=wire_mass(wire, winding.wire.diameter, winding.strands),
        resistance=wire_resistance(wire, winding.wire.diameter, winding.strands),
    )
