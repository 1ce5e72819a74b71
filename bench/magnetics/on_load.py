"""What a transformer gives under all its loads together: volts, currents, rails, losses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.coupling import Coils, LoadedWinding, couple
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.load import Circuit, Load, RectifierLoad
from bench.magnetics.loaded_core import CoreCycle, loaded_core
from bench.magnetics.loaded_cycle import LoadedCycle
from bench.magnetics.on_load_result import OnLoad
from bench.magnetics.periodic import NoSteadyState, steady_cycle
from bench.magnetics.rectifier import loaded_circuit, starting_point

__all__ = ["MAINS_FACTORS", "on_load", "over_mains"]

Array = NDArray[np.float64]

MAINS_FACTORS = (0.9, 1.0, 1.1)
"""Mains at its lowest, nominal and at its highest: +-10 % of 230 V in public networks (EN 50160, from memory)."""

STEPS = 301
"""Steps of a cycle; odd, for the core.  Twice as many change nothing by more than 0.04 % in the units that are compared
with ngspice, ripple included."""

_PASSES = 40
_AGREED = 1e-4
"""The exciting current that the loads met and the one that they leave differ by less, as a part of the fed current."""


def on_load(
    windings: Sequence[LoadedWinding],
    fed: str,
    leakage: Array,
    core: MagneticCore | None,
    voltage: float,
    frequency: float,
    loads: Sequence[Load],
    steps: int = STEPS,
) -> OnLoad:
    """Volts, currents and losses of all windings with `loads`, in the steady state.

    windings (n): turns and hot resistance of each;  fed: the name of the one that gets a sine of `voltage` [V rms] > 0
    and `frequency` [Hz] > 0 at its terminals;  leakage (n, n) [H] in the order of the windings, as `leakage_matrix`
    gives it for turns that are all positive;  core: takes the exciting current, or None for one that takes nothing;
    steps of a cycle, odd.

    One circuit: the fed winding carries the waveform of every load and the exciting current, and what it loses every
    winding loses, at the same instant, so that a rectifier that takes its current at the peak flattens all the others.
    The flux follows from the EMF that is left.  Diodes are a drop and a slope.  Left out: what feeds the transformer
    (its impedance may be added to the fed winding's), capacitance of windings, eddy currents in the copper.
    Raises ValueError for arguments out of range, for a load on a winding that isn't there or is fed, and for a rail
    that can't give its current; NoSteadyState or ArithmeticError where no steady state is found.
    Checked against ngspice transients in tests/outside.
    """
    names = [winding.name for winding in windings]
    _check(names, fed, voltage, frequency, loads, steps)
    tapped = {names.index(one.winding) for one in loads if _is_tapped(one)}
    source = names.index(fed)
    coils = couple(windings, source, np.asarray(leakage, dtype=float), tapped)
    peak, period = math.sqrt(2.0) * voltage, 1.0 / frequency
    coil_names = [names[index] for index in coils.owner]
    circuit = loaded_circuit(coils, coil_names, loads, peak)
    node = np.arange(steps) * period / steps

    def supply(time: Array) -> Array:
        return np.asarray(peak * np.sin(2 * math.pi * frequency * time))

    def induced(time: Array, drop: _ExcitingDrop) -> Array:
        return np.asarray(supply(time)[:, None] * coils.ratio - drop(time))

    def at_core(volts: Array, near: CoreCycle | None) -> CoreCycle:
        if core is None:
            return CoreCycle(np.zeros(steps), volts, np.zeros(steps), 0.0)
        turns = windings[source].turns
        return loaded_core(core, turns, volts, frequency, coils.fed, coils.fed_leakage, near)

    unloaded = at_core(supply(node), None)
    exciting = unloaded
    start = starting_point(circuit.layout, coils, coil_names, peak)
    for _ in range(_PASSES):
        drop = _ExcitingDrop(coils, exciting, period)
        cycle = steady_cycle(circuit.driven_by(partial(induced, drop=drop)), period, start, steps)
        start = cycle.start
        # The second stage of a step is the instant at its end: node k is the end of step k - 1.
        current, rate = (np.roll(part[1::2, : len(coils.owner)], 1, axis=0) for part in (cycle.x, cycle.rate))
        met = exciting
        taken = coils.fed * current @ coils.ratio + rate @ coils.emf_leakage
        # A leakage takes no direct volts, and what a resistance takes of them is known better from both stages: behind
        # few ohms a little of them is much direct flux.
        direct = coils.fed * float(cycle.mean(cycle.x[:, : len(coils.owner)]) @ coils.ratio)
        exciting = at_core(supply(node) - (taken - np.mean(taken) + direct), met)
        whole = _rms(exciting.current + current @ coils.ratio)
        if _rms(exciting.current - met.current) <= _AGREED * whole:
            break
    else:
        raise NoSteadyState(f"exciting current and loads did not agree in {_PASSES} passes")
    solved = LoadedCycle(
        windings=tuple(windings),
        fed=source,
        coils=coils,
        layout=circuit.layout,
        cycle=cycle,
        supply=supply(cycle.time),
        exciting=drop.current(cycle.time),
        exciting_drop=drop(cycle.time),
        unloaded_drop=_ExcitingDrop(coils, unloaded, period)(cycle.time),
        core=met,
    )
    return solved.result(voltage, frequency)


def over_mains(
    windings: Sequence[LoadedWinding],
    fed: str,
    leakage: Array,
    core: MagneticCore | None,
    voltage: float,
    frequency: float,
    loads: Sequence[Load],
    factors: Sequence[float] = MAINS_FACTORS,
) -> tuple[OnLoad, ...]:
    """The same unit with the same loads at each of `factors` x voltage; a constant-current load takes the same at all.

    Arguments and errors as `on_load`; factors > 0.
    """
    return tuple(on_load(windings, fed, leakage, core, voltage * one, frequency, loads) for one in factors)


class _ExcitingDrop:
    """What the exciting current takes from each coil, at any instant."""

    def __init__(self, coils: Coils, core: CoreCycle, period: float) -> None:
        n = len(core.current)
        spectrum = np.fft.rfft(core.current) * 2j * math.pi / period * np.arange(n // 2 + 1)
        self._coils, self._period = coils, period
        self._node = np.arange(n) * period / n
        self._current, self._rate = core.current, np.fft.irfft(spectrum, n)

    def current(self, time: Array) -> Array:
        return np.asarray(np.interp(time, self._node, self._current, period=self._period))

    def __call__(self, time: Array) -> Array:
        rate = np.interp(time, self._node, self._rate, period=self._period)
        resistive = self._coils.fed * np.outer(self.current(time), self._coils.ratio)
        return np.asarray(resistive + np.outer(rate, self._coils.exciting_leakage))


def _is_tapped(load: Load) -> bool:
    return isinstance(load, RectifierLoad) and load.circuit is Circuit.FULL_WAVE


def _rms(wave: Array) -> float:
    return math.sqrt(float(np.mean(wave**2)))


def _check(names: Sequence[str], fed: str, voltage: float, frequency: float, loads: Sequence[Load], steps: int) -> None:
    if len(set(names)) < len(names):
        raise ValueError(f"two windings have the same name among {', '.join(names)}")
    if fed not in names:
        raise ValueError(f"no winding is called {fed}, expected one of {', '.join(names)}")
    for what, value, unit in (("supply voltage", voltage, "V"), ("frequency", frequency, "Hz")):
        if not (value > 0 and math.isfinite(value)):
            raise ValueError(f"{what} is {value:g} {unit}, expected more than 0")
    if steps < 51 or steps % 2 == 0:
        raise ValueError(f"{steps} steps of a cycle, expected an odd number from 51 on")
    for load in loads:
        if load.winding not in names or load.winding == fed:
            others = ", ".join(name for name in names if name != fed)
            raise ValueError(f"a load is on winding {load.winding}, expected one of {others or 'none'}")
