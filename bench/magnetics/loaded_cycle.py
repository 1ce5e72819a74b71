"""A solved cycle of a loaded transformer, read off as RMS values, rails, drops and losses."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.coupling import Coils, LoadedWinding
from bench.magnetics.loaded_core import CoreCycle
from bench.magnetics.on_load_result import EXCITING, Drop, OnLoad, Rail, WindingOnLoad
from bench.magnetics.periodic import Cycle
from bench.magnetics.rectifier import Layout, RectifierUnknowns

__all__ = ["LoadedCycle"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LoadedCycle:
    """The waveforms at the instants of `cycle`.

    supply [V] and exciting current [A] (instants,);  exciting_drop, unloaded_drop [V] (instants, coils): what the
    exciting current takes from each coil, with the loads and without any.
    """

    windings: tuple[LoadedWinding, ...]
    fed: int
    coils: Coils
    layout: Layout
    cycle: Cycle
    supply: Array
    exciting: Array
    exciting_drop: Array
    unloaded_drop: Array
    core: CoreCycle

    def result(self, voltage: float, frequency: float) -> OnLoad:
        """All of it, as values.  Raises ValueError for a rail that can't give its current."""
        fed = self.windings[self.fed]
        windings = {winding.name: self._winding(index) for index, winding in enumerate(self.windings)}
        drops = {winding.name: self._drops(index) for index, winding in enumerate(self.windings) if index != self.fed}
        flux = self.core.flux_density
        return OnLoad(
            voltage=voltage,
            frequency=frequency,
            fed=fed.name,
            windings=windings,
            drops=drops,
            rails=tuple(self._rail(placed) for placed in self.layout.rectifiers),
            exciting_current=self._rms(self.exciting),
            flux_density=float(np.max(np.abs(flux))),
            core_loss=self.core.core_loss,
            input_power=self._mean(self.supply * self._fed_current),
        )

    @property
    def _current(self) -> Array:
        return self.cycle.x[:, : self.layout.coils]

    @property
    def _volts(self) -> Array:
        return self.cycle.x[:, self.layout.coils : 2 * self.layout.coils]

    @property
    def _fed_current(self) -> Array:
        return np.asarray(self.exciting + self._current @ self.coils.ratio)

    def _mean(self, wave: Array) -> float:
        return float(self.cycle.mean(wave))

    def _rms(self, wave: Array) -> float:
        return math.sqrt(self._mean(wave**2))

    def _coils_of(self, index: int) -> list[int]:
        return [coil for coil, owner in enumerate(self.coils.owner) if owner == index]

    def _winding(self, index: int) -> WindingOnLoad:
        winding = self.windings[index]
        supply = self._rms(self.supply)
        if index == self.fed:
            current = self._fed_current
            return WindingOnLoad(
                name=winding.name,
                voltage_by_turns=supply,
                no_load_voltage=supply,
                voltage=supply,
                current=self._rms(current),
                peak_current=float(np.max(np.abs(current))),
                copper_loss=winding.resistance * self._rms(current) ** 2,
                power=-self._mean(self.supply * current),
            )
        parts = self._coils_of(index)
        ratio = float(np.sum(self.coils.ratio[parts]))
        squares = np.array([self._rms(self._current[:, part]) ** 2 for part in parts])
        return WindingOnLoad(
            name=winding.name,
            voltage_by_turns=ratio * supply,
            no_load_voltage=self._rms(ratio * self.supply - self.unloaded_drop[:, parts].sum(axis=1)),
            voltage=self._rms(self._volts[:, parts].sum(axis=1)),
            current=math.sqrt(float(np.mean(squares))),
            peak_current=float(np.max(np.abs(self._current[:, parts]))),
            copper_loss=float(squares @ self.coils.own[parts]),
            power=self._mean((self._volts[:, parts] * self._current[:, parts]).sum(axis=1)),
        )

    def _drops(self, victim: int) -> dict[str, Drop]:
        parts = self._coils_of(victim)
        ratio = float(np.sum(self.coils.ratio[parts]))
        volts = self._volts[:, parts].sum(axis=1)
        by_turns = ratio * self.supply
        both = (by_turns + volts) / (self._rms(by_turns) + self._rms(volts))
        found: dict[str, Drop] = {}
        for cause, winding in enumerate(self.windings):
            if cause == self.fed:
                continue
            sources = self._coils_of(cause)
            current, rate = self._current[:, sources], self.cycle.rate[:, sources]
            own = current @ self.coils.own[sources] if cause == victim else np.zeros(len(volts))
            found[winding.name] = Drop(
                own_resistance=self._mean(own * both),
                fed_resistance=self._mean(ratio * self.coils.fed * (current @ self.coils.ratio[sources]) * both),
                leakage=self._mean((rate @ self.coils.leakage[np.ix_(parts, sources)].T).sum(axis=1) * both),
            )
        resistive = ratio * self.coils.fed * self.exciting
        found[EXCITING] = Drop(
            own_resistance=0.0,
            fed_resistance=self._mean(resistive * both),
            leakage=self._mean((self.exciting_drop[:, parts].sum(axis=1) - resistive) * both),
        )
        return found

    def _rail(self, placed: RectifierUnknowns) -> Rail:
        load, x = placed.load, self.cycle.x
        paths = x[:, list(placed.paths)]
        volts = x[:, placed.output]
        choke = None if placed.choke is None else x[:, placed.choke]
        index = [winding.name for winding in self.windings].index(load.winding)
        current = (
            volts / load.load_resistance if load.load_resistance is not None else np.full(len(volts), load.dc_current)
        )
        voltage = self._mean(volts)
        if voltage <= 0:
            raise ValueError(f"the rectifier on {load.winding} can't give {load.dc_current:g} A at this supply")
        drop = placed.in_series * (load.diode.forward_drop * paths + load.diode.slope_resistance * paths**2)
        return Rail(
            winding=load.winding,
            voltage=voltage,
            ripple=float(np.ptp(volts)),
            current=self._mean(current),
            power=self._mean(volts * current),
            winding_current=self._winding(index).current,
            diode_peak=float(np.max(paths)),
            diode_mean=float(np.mean(self.cycle.mean(paths))),
            rectifier_loss=self._mean(drop.sum(axis=1)),
            choke_loss=0.0 if choke is None else load.choke_resistance * self._rms(choke) ** 2,
            least_choke_current=None if choke is None else max(0.0, float(np.min(choke))),
        )
