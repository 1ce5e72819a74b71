"""The circuit that all loads make of the coils, each rectifier with its filter."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.coupling import Coils
from bench.magnetics.load import Circuit, Filter, Load, RectifierLoad, ResistiveLoad
from bench.magnetics.periodic import SwitchedCircuit

__all__ = ["Layout", "LoadedCircuit", "RectifierUnknowns", "loaded_circuit", "starting_point"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RectifierUnknowns:
    """Where a rectifier's unknowns stand: paths (one for each way through its diodes), output, and those it may lack.

    output: volts at the load.  choke: current of the choke; input: volts before it; None without a choke.
    in_series: diodes that a path goes through.
    """

    load: RectifierLoad
    paths: tuple[int, ...]
    output: int
    choke: int | None
    input: int
    in_series: int


@dataclass(frozen=True)
class Layout:
    """Where the unknowns stand: current of coil k at k, its volts at n + k, then those of the rectifiers."""

    coils: int
    rectifiers: tuple[RectifierUnknowns, ...]
    size: int


@dataclass(frozen=True)
class LoadedCircuit:
    """All loads on their coils: storage x' + loss x = drive, the drive of the coils' rows still to come."""

    layout: Layout
    storage: Array
    loss: Array
    steady: Array
    scale: Array

    def driven_by(self, volts: Callable[[Array], Array]) -> SwitchedCircuit:
        """The circuit with volts(time) -> (times, coils) [V] induced in its coils."""

        def drive(time: Array) -> Array:
            made = np.tile(self.steady, (len(time), 1))
            made[:, : self.layout.coils] += volts(time)
            return made

        gates = tuple(path for placed in self.layout.rectifiers for path in placed.paths)
        return SwitchedCircuit(self.storage, self.loss, drive, gates, gates, self.scale)


def _ways(coils: Sequence[int], circuit: Circuit) -> list[list[tuple[int, float]]]:
    """For each path through the diodes, the coils that it takes its current from, with sign."""
    whole = [(coil, 1.0) for coil in coils]
    back = [(coil, -1.0) for coil in coils]
    match circuit:
        case Circuit.HALF_WAVE:
            return [whole]
        case Circuit.BRIDGE:
            return [whole, back]
        case Circuit.FULL_WAVE:
            return [[whole[0]], [back[1]]]


def _lay_out(coils: Coils, rectifiers: Sequence[RectifierLoad]) -> Layout:
    at = 2 * len(coils.owner)
    placed = []
    for load in rectifiers:
        count = 1 if load.circuit is Circuit.HALF_WAVE else 2
        choke = load.filter is Filter.CHOKE_INPUT
        output = at + count
        placed.append(
            RectifierUnknowns(
                load=load,
                paths=tuple(range(at, output)),
                output=output,
                choke=output + 1 if choke else None,
                input=output + 2 if choke else output,
                in_series=2 if load.circuit is Circuit.BRIDGE else 1,
            )
        )
        at = output + (3 if choke else 1)
    return Layout(len(coils.owner), tuple(placed), at)


def loaded_circuit(coils: Coils, names: Sequence[str], loads: Sequence[Load], peak: float) -> LoadedCircuit:
    """The circuit of all loads; names: of the winding of each coil; peak [V] of the source."""
    n = len(names)
    layout = _lay_out(coils, [load for load in loads if isinstance(load, RectifierLoad)])
    storage, loss = np.zeros((layout.size, layout.size)), np.zeros((layout.size, layout.size))
    steady, scale = np.zeros(layout.size), np.ones(layout.size)
    own, volts = np.arange(n), np.arange(n, 2 * n)
    storage[:n, :n] = coils.leakage
    loss[:n, :n] = coils.resistance
    loss[own, volts] = 1.0
    loss[volts, own] = 1.0
    scale[volts] = peak * coils.ratio
    of = {name: [coil for coil in range(n) if names[coil] == name] for name in names}
    for load in loads:
        if isinstance(load, ResistiveLoad):
            # Halves in series carry what the volts of both drive.
            at = n + np.asarray(of[load.winding])
            loss[np.ix_(at, at)] -= 1.0 / load.resistance
    for placed in layout.rectifiers:
        load = placed.load
        scale[[placed.output, placed.input]] = peak * float(np.sum(coils.ratio[of[load.winding]]))
        for path, way in zip(placed.paths, _ways(of[load.winding], load.circuit), strict=True):
            for coil, sign in way:
                loss[n + coil, path] -= sign
                loss[path, n + coil] -= sign
            loss[path, path] += placed.in_series * load.diode.slope_resistance
            loss[path, placed.input] += 1.0
            steady[path] -= placed.in_series * load.diode.forward_drop
        _filter_rows(placed, storage, loss, steady)
    return LoadedCircuit(layout, storage, loss, steady, scale)


def _filter_rows(placed: RectifierUnknowns, storage: Array, loss: Array, steady: Array) -> None:
    load, output = placed.load, placed.output
    storage[output, output] = load.capacitance
    if load.load_resistance is not None:
        loss[output, output] = 1.0 / load.load_resistance
    else:
        assert load.dc_current is not None
        steady[output] = -load.dc_current
    paths = list(placed.paths)
    if placed.choke is None:
        loss[output, paths] -= 1.0
        return
    loss[output, placed.choke] = -1.0
    storage[placed.choke, placed.choke] = load.choke_inductance
    loss[placed.choke, placed.choke] = load.choke_resistance
    loss[placed.choke, output] = 1.0
    loss[placed.choke, placed.input] = -1.0
    loss[placed.input, paths] = 1.0
    loss[placed.input, placed.choke] = -1.0


def starting_point(layout: Layout, coils: Coils, names: Sequence[str], peak: float) -> Array:
    """A cycle's start near the steady one: capacitors at about the volts that they will have."""
    start = np.zeros(layout.size)
    for placed in layout.rectifiers:
        of = coils.ratio[[k for k in range(len(names)) if names[k] == placed.load.winding]]
        # The half with the more volts charges the capacitor.
        turns = float(np.max(of) if placed.load.circuit is Circuit.FULL_WAVE else np.sum(of))
        level = 2 / math.pi if placed.choke is not None else 0.85
        start[placed.output] = level * peak * turns
        if placed.choke is not None:
            load = placed.load
            start[placed.choke] = load.dc_current or start[placed.output] / (load.load_resistance or math.inf)
    return start
