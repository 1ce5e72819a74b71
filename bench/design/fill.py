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
) -> Fill | None:
    """The best fill of the window, None where none fits it with at most `most_loss` [W] and `most_copper` [kg].

    Windings are laid from inside.  A winding's height does not depend on where it begins, and its copper only grows
    with that: so of two ways to lay the first windings one that is neither higher, nor lossier, nor heavier may stand
    for both, and the best of those that are left at the end is the best of all (Bellman's principle).  A test holds it
    against trying everything.
    """
    laid = [_options(room, need) for need in needs]
    if any(one is None for one in laid):
        return None
    layings = [one for one in laid if one is not None]
    with_copper = objective is Objective.COPPER
    layings = [_worth_a_look(one, with_copper) for one in layings]
    least = [float(one.height.min()) + need.after for one, need in zip(layings, needs, strict=True)]
    # What the windings still to come lose at the very least: on the thickest wire, as far inside as they can lie.
    begin = room.start + np.concatenate([[0.0], np.cumsum(least)[:-1]])
    lightest = [
        need.current**2 * room.heat * float(np.min((one.base + one.slope * at) / (CONDUCTIVITY_20C * one.section)))
        for one, need, at in zip(layings, needs, begin, strict=True)
    ]
    slightest = [
        float(np.min(DENSITY * (one.base + one.slope * at) * one.section))
        for one, at in zip(layings, begin, strict=True)
    ]
    states = _States(np.array([room.start]), np.zeros(1), np.zeros(1))
    trail: list[tuple[NDArray[np.intp], NDArray[np.intp]]] = []
    for number, (one, need) in enumerate(zip(layings, needs, strict=True)):
        rest = math.fsum(least[number + 1 :])  # what the windings still to come take at the very least
        spare = most_loss - math.fsum(lightest[number + 1 :])
        spare_copper = most_copper - math.fsum(slightest[number + 1 :])
        limits = (room.width - rest, spare, spare_copper)
        states, parent, option = _extend(states, one, need, room.heat, limits, with_copper)
        if not len(states.height):
            return None
        trail.append((parent, option))
    worth = states.copper if with_copper else states.loss
    at = int(np.argmin(worth))
    outer, loss, copper = float(states.height[at]), float(states.loss[at]), float(states.copper[at])
    choices = []
    for (parent, option), one, need in zip(reversed(trail), reversed(layings), reversed(list(needs)), strict=True):
        chosen = int(option[at])
        choices.append(Choice(need.name, one.wires[chosen], int(one.layers[chosen])))
        at = int(parent[at])
    return Fill(tuple(reversed(choices)), outer, loss, copper)


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
