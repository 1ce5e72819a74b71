"""Wires for every winding that fit a window, by dynamic programming: exactly the best, without trying all of them."""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.copper import CONDUCTIVITY_20C, DENSITY
from bench.magnetics.former import BULGE, turns_per_layer

__all__ = ["Choice", "Fill", "Need", "Objective", "Room", "WireOption", "fill_window"]

Floats = NDArray[np.float64]


class Objective(Enum):
    """What is made least: watts in the copper, or copper."""

    LOSS = "loss"
    COPPER = "copper"


@dataclass(frozen=True)
class WireOption:
    """A wire as it may be wound: its name, bare diameter and diameter over the enamel [m], strands in hand."""

    name: str
    diameter: float
    overall: float
    strands: int = 1

    @property
    def section(self) -> float:
        """Copper [m2] of all strands."""
        return math.pi / 4 * self.diameter**2 * self.strands


@dataclass(frozen=True)
class Need:
    """What one winding must be: turns, RMS current [A];  options: wires that may be taken;
    after [m]: what lies on it before the next winding, insulation and screens."""

    name: str
    turns: int
    current: float
    options: tuple[WireOption, ...]
    after: float


@dataclass(frozen=True)
class Room:
    """tongue, stack [m] of the leg;  start [m]: where copper may begin over it;  width [m]: of the window, all of it;
    length [m] of a layer;  interlayer [m];  heat: ohms of the copper at work over those at 20 degC."""

    tongue: float
    stack: float
    start: float
    width: float
    length: float
    interlayer: float
    heat: float = 1.0


@dataclass(frozen=True)
class Choice:
    """The wire of one winding, and how many layers it takes."""

    name: str
    wire: WireOption
    layers: int


@dataclass(frozen=True)
class Fill:
    """A whole window: choices in the order of winding;  outer [m] with the last cover;  loss [W] of the copper at work;
    copper [kg]."""

    choices: tuple[Choice, ...]
    outer: float
    loss: float
    copper: float


def fill_window(
    room: Room,
    needs: Sequence[Need],
    objective: Objective = Objective.LOSS,
    most_loss: float = math.inf,
    most_copper: float = math.inf,
    free_after: int | None = None,
) -> Fill | None:
    """The best fill of the window, None where none fits it with at most `most_loss` [W] and `most_copper` [kg].

    free_after: windings from that one on may lie in any order, those before in that of `needs`; None: all in theirs.
    Windings are laid from inside.  A winding's height does not depend on where it begins, and its copper only grows
    with that: so of two ways to lay the same windings first, one that is neither higher, nor lossier, nor heavier may
    stand for both, and the best of those that are left at the end is the best of all (Bellman's principle).  A test
    holds it against trying everything.
    """
    laid = [_options(room, need) for need in needs]
    if any(one is None for one in laid):
        return None
    with_copper = objective is Objective.COPPER
    layings = [_worth_a_look(one, with_copper) for one in laid if one is not None]
    count = len(needs)
    fixed = count if free_after is None else free_after
    least = _Least.of(room, needs, layings, fixed)
    whole = (1 << count) - 1
    ways = {0: _Ways(_States(np.array([room.start]), np.zeros(1), np.zeros(1)))}
    for done in range(whole):  # every set of windings comes after all of its parts
        reached = ways.get(done)
        if reached is None:
            continue
        for number in _next(done, count, fixed):
            rest = [k for k in range(count) if not (done | 1 << number) >> k & 1]
            limits = (
                room.width - math.fsum(least.height[k] for k in rest),
                most_loss - math.fsum(least.loss[k] for k in rest),
                most_copper - math.fsum(least.copper[k] for k in rest),
            )
            more = _extend(reached.states, layings[number], needs[number], room.heat, limits, with_copper)
            if len(more[0].height):
                together = done | 1 << number
                held = ways.get(together)
                ways[together] = (
                    _Ways.after(done, number, *more)
                    if held is None
                    else held.merged(_Ways.after(done, number, *more), with_copper)
                )
    end = ways.get(whole)
    if end is None:
        return None
    at = int(np.argmin(end.states.copper if with_copper else end.states.loss))
    outer, loss, copper = (float(values[at]) for values in (end.states.height, end.states.loss, end.states.copper))
    choices, here = [], end
    while here.number is not None:
        before, parent, number, option = (int(values[at]) for values in here.trail())
        one = layings[number]
        choices.append(Choice(needs[number].name, one.wires[option], int(one.layers[option])))
        here, at = ways[before], parent
    return Fill(tuple(reversed(choices)), outer, loss, copper)


def _next(done: int, count: int, fixed: int) -> list[int]:
    """Windings that may come next: the first `fixed` in their order, then any that is left."""
    for number in range(fixed):
        if not done >> number & 1:
            return [number]
    return [number for number in range(count) if not done >> number & 1]


@dataclass(frozen=True)
class _Least:
    """What each winding takes at the very least: height [m] with what lies on it, loss [W], copper [kg]."""

    height: list[float]
    loss: list[float]
    copper: list[float]

    @classmethod
    def of(cls, room: Room, needs: Sequence[Need], layings: Sequence[_Laying], fixed: int) -> _Least:
        """On the wire that takes least, as far inside as the winding can lie."""
        height = [float(one.height.min()) + need.after for one, need in zip(layings, needs, strict=True)]
        below = [math.fsum(height[: min(number, fixed)]) for number in range(len(needs))]
        lengths = [one.base + one.slope * (room.start + at) for one, at in zip(layings, below, strict=True)]
        return cls(
            height,
            [
                need.current**2 * room.heat * float(np.min(length / (CONDUCTIVITY_20C * one.section)))
                for one, need, length in zip(layings, needs, lengths, strict=True)
            ],
            [float(np.min(DENSITY * length * one.section)) for one, length in zip(layings, lengths, strict=True)],
        )


@dataclass(frozen=True)
class _Laying:
    """The options of one winding, arrays (m,): height [m], layers; length of its wire = base + slope x begin [m]."""

    wires: tuple[WireOption, ...]
    height: Floats
    layers: NDArray[np.int_]
    base: Floats
    slope: float
    section: Floats


@dataclass(frozen=True)
class _States:
    """Ways to lay the windings so far, arrays (n,): height reached [m], loss [W], copper [kg]."""

    height: Floats
    loss: Floats
    copper: Floats


@dataclass(frozen=True)
class _Ways:
    """States of one set of windings, and how each was reached: the set before, the state there, the winding laid last
    and its option, arrays (n,); nothing of the latter at the start."""

    states: _States
    before: NDArray[np.intp] | None = None
    parent: NDArray[np.intp] | None = None
    number: NDArray[np.intp] | None = None
    option: NDArray[np.intp] | None = None

    @classmethod
    def after(
        cls, done: int, number: int, states: _States, parent: NDArray[np.intp], option: NDArray[np.intp]
    ) -> _Ways:
        same = np.ones(len(parent), dtype=np.intp)
        return cls(states, done * same, parent, number * same, option)

    def merged(self, other: _Ways, with_copper: bool) -> _Ways:
        """Both, without those that another beats."""
        height, loss, copper = (
            np.concatenate(pair)
            for pair in (
                (self.states.height, other.states.height),
                (self.states.loss, other.states.loss),
                (self.states.copper, other.states.copper),
            )
        )
        kept = _undominated(height, loss, copper if with_copper else None)
        trail = [np.concatenate([one, two])[kept] for one, two in zip(self.trail(), other.trail(), strict=True)]
        return _Ways(_States(height[kept], loss[kept], copper[kept]), *trail)

    def trail(self) -> tuple[NDArray[np.intp], ...]:
        assert self.before is not None
        assert self.parent is not None
        assert self.number is not None
        assert self.option is not None
        return self.before, self.parent, self.number, self.option


def _options(room: Room, need: Need) -> _Laying | None:
    """None where not one wire goes into a layer.  The same layers as `layer_turns` and `build_layers` make, summed."""
    wires, per_layer = [], []
    for wire in need.options:
        try:
            per_layer.append(turns_per_layer(wire.overall, wire.strands, room.length))
        except ValueError:
            continue
        wires.append(wire)
    if not wires:
        return None
    per = np.array(per_layer)
    high = BULGE * np.array([wire.overall for wire in wires])
    pitch = high + BULGE * room.interlayer
    full, rest = need.turns // per, need.turns % per
    layers = full + (rest > 0)
    # Turns of each layer times the height of its middle over where the winding begins.
    middles = per * (pitch * full * (full - 1) / 2 + full * high / 2) + rest * (full * pitch + high / 2)
    return _Laying(
        tuple(wires),
        (layers - 1) * pitch + high,
        layers,
        need.turns * 2 * (room.tongue + room.stack) + 2 * math.pi * middles,
        2 * math.pi * need.turns,
        np.array([wire.section for wire in wires]),
    )


def _worth_a_look(one: _Laying, with_copper: bool) -> _Laying:
    """Without wires that another beats wherever the winding begins: no higher, and no more ohms there or further out.

    Where copper counts, only wires of one section are compared: a thinner one is lighter.
    """
    ohms, growth = one.base / one.section, 1 / one.section
    measures = [one.height, ohms, growth, *([one.section, one.base] if with_copper else [])]
    no_worse = np.logical_and.reduce([values[:, None] <= values[None, :] for values in measures])
    better = no_worse & ~no_worse.T
    first = no_worse & no_worse.T & (np.arange(len(ohms))[:, None] < np.arange(len(ohms))[None, :])
    at = np.flatnonzero(~np.any(better | first, axis=0))
    wires = tuple(one.wires[k] for k in at)
    return _Laying(wires, one.height[at], one.layers[at], one.base[at], one.slope, one.section[at])


def _extend(
    states: _States,
    one: _Laying,
    need: Need,
    heat: float,
    most: tuple[float, float, float],
    with_copper: bool,
) -> tuple[_States, NDArray[np.intp], NDArray[np.intp]]:
    height = states.height[:, None] + one.height[None, :] + need.after
    length = one.base[None, :] + one.slope * states.height[:, None]
    loss = states.loss[:, None] + need.current**2 * heat * length / (CONDUCTIVITY_20C * one.section[None, :])
    copper = states.copper[:, None] + DENSITY * length * one.section[None, :]
    parent, option = (part.ravel() for part in np.indices(height.shape))
    flat = _States(height.ravel(), loss.ravel(), copper.ravel())
    fits = np.ones(len(flat.height), dtype=bool)
    for values, limit in zip((flat.height, flat.loss, flat.copper), most, strict=True):
        fits &= values <= limit + 1e-12 * max(1.0, abs(limit)) if math.isfinite(limit) else True
    kept = np.flatnonzero(fits)
    kept = kept[_undominated(flat.height[kept], flat.loss[kept], flat.copper[kept] if with_copper else None)]
    return _States(flat.height[kept], flat.loss[kept], flat.copper[kept]), parent[kept], option[kept]


def _undominated(height: Floats, loss: Floats, copper: Floats | None) -> NDArray[np.intp]:
    """Numbers of the ways that none other equals or beats in everything."""
    if copper is None:
        order = np.lexsort((loss, height))
        best_before = np.minimum.accumulate(np.concatenate([[np.inf], loss[order][:-1]]))
        return order[loss[order] < best_before]
    # From the lowest up: the front holds loss against copper of all that are no higher, loss rising, copper falling.
    front_loss: list[float] = []
    front_copper: list[float] = []
    kept: list[int] = []
    for number in np.lexsort((copper, loss, height)).tolist():
        own_loss, own_copper = float(loss[number]), float(copper[number])
        at = bisect.bisect_right(front_loss, own_loss)
        if at and front_copper[at - 1] <= own_copper:
            continue
        end = at
        while end < len(front_loss) and front_copper[end] >= own_copper:
            end += 1
        begin = at - 1 if at and front_loss[at - 1] == own_loss else at
        front_loss[begin:end] = [own_loss]
        front_copper[begin:end] = [own_copper]
        kept.append(number)
    return np.array(kept, dtype=np.intp)
