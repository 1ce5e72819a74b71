"""Small transformers under resistive and rectifier loads, at 50 and 60 Hz."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bench.magnetics.coupling import LoadedWinding
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.load import Circuit, Diode, Filter, Load, RectifierLoad, ResistiveLoad
from bench.magnetics.on_load import on_load
from bench.magnetics.on_load_result import OnLoad
from tests.outside.spice.case import SpiceCase
from tests.outside.spice.excitation_cases import M530
from tests.outside.spice.on_load_netlist import LoadedUnit, on_load_netlist

__all__ = ["CASES", "UNITS", "Unit"]

STEEL, FIELD = M530


@dataclass(frozen=True)
class Unit:
    """A unit whose windings lie one over the other; leakage: by winding, per turn squared [H], and what they share.

    real_diode: ngspice gets a diode by its law and we its chord, to see what the chord is worth.
    """

    name: str
    core: MagneticCore
    windings: Sequence[LoadedWinding]
    own_leakage: Sequence[float]
    shared: float
    voltage: float
    frequency: float
    loads: Sequence[Load]
    real_diode: str = ""
    cycles: int = 200

    @property
    def leakage(self) -> np.ndarray:
        turns = np.array([winding.turns for winding in self.windings])
        root = np.sqrt(np.array(self.own_leakage))
        per_turn = np.diag(self.own_leakage) + self.shared * (np.outer(root, root) - np.diag(root**2))
        return np.outer(turns, turns) * per_turn

    def netlist(self) -> str:
        turns = self.windings[0].turns
        # The loss of a resistor, as ours is, at the flux of the fed volts less the few percent that copper takes.
        emf = 0.97 * self.voltage
        high = emf / (math.pi * math.sqrt(2) * self.frequency * turns * self.core.area)
        watts = float(self.core.steel.loss_at(high, self.frequency)) * self.core.mass * self.core.building_factor
        return on_load_netlist(
            LoadedUnit(
                title=f"{self.name}: {self.voltage:g} V {self.frequency:g} Hz",
                windings=self.windings,
                leakage=self.leakage,
                core=self.core,
                field=FIELD,
                core_loss=emf**2 / watts,
                voltage=self.voltage,
                frequency=self.frequency,
                loads=self.loads,
                diode=self.real_diode,
                cycles=self.cycles,
            )
        )

    def solved(self) -> OnLoad:
        fed = self.windings[0].name
        return on_load(self.windings, fed, self.leakage, self.core, self.voltage, self.frequency, self.loads)

    def ours(self) -> dict[str, float]:
        fed, found = self.windings[0].name, self.solved()
        values = {f"i_{fed}": found.windings[fed].current, "power": found.input_power}
        tapped = {load.winding for load in self.loads if getattr(load, "circuit", None) is Circuit.FULL_WAVE}
        for name, winding in found.windings.items():
            if name == fed:
                continue
            values[f"v_{name}"] = winding.voltage
            if name not in tapped:
                values[f"i_{name}"] = winding.current
        for rail in found.rails:
            values[f"dc_{rail.winding}"] = rail.voltage
            values[f"ripple_{rail.winding}"] = rail.ripple
            values[f"diode_{rail.winding}"] = rail.diode_peak
        return values


def _chord(saturation: float, emission: float, series: float, peak: float) -> Diode:
    """The straight line through a diode's volts at a quarter of a peak current and at the peak, at 27 degC."""

    def volts(current: float) -> float:
        return emission * 0.025865 * math.log(current / saturation + 1) + series * current

    slope = (volts(peak) - volts(peak / 4)) / (0.75 * peak)
    return Diode(volts(peak) - slope * peak, slope)


RECEIVER = MagneticCore(32e-3 * 45e-3 * 0.93, 0.192, STEEL, joint=8e-6, building_factor=1.2)
SMALL = MagneticCore(20e-3 * 21e-3 * 0.93, 0.120, STEEL, joint=8e-6, building_factor=1.2)

PRIMARY = LoadedWinding("primary", 662, 13.0)
HT = LoadedWinding("ht", 1554, 190.0, (85.0, 105.0))
RECTIFIER = LoadedWinding("rectifier", 15, 0.035)
HEATER = LoadedWinding("heater", 19, 0.026)
SIXTEEN = LoadedWinding("heater", 16, 0.022)
FOUR = (PRIMARY, HT, RECTIFIER, HEATER)
FOUR_LEAKAGE = (12e-9, 25e-9, 18e-9, 22e-9)

HEATERS = (ResistiveLoad.rated("rectifier", 5.0, 2.0), ResistiveLoad.rated("heater", 6.3, 3.0))
SILICON_BRIDGE = "D(is=2.5e-9 n=1.75 rs=0.04)"

UNITS = (
    Unit(
        name="three-resistors-50-hz",
        core=RECEIVER,
        windings=FOUR,
        own_leakage=FOUR_LEAKAGE,
        shared=0.4,
        voltage=230.0,
        frequency=50.0,
        loads=(ResistiveLoad.rated("ht", 500.0, 0.06), *HEATERS),
    ),
    Unit(
        name="valve-full-wave-beside-heaters-50-hz",
        core=RECEIVER,
        windings=FOUR,
        own_leakage=FOUR_LEAKAGE,
        shared=0.4,
        voltage=230.0,
        frequency=50.0,
        loads=(
            RectifierLoad(
                "ht",
                Circuit.FULL_WAVE,
                Filter.CAPACITOR_INPUT,
                Diode(0.0, 160.0),
                dc_current=0.06,
                capacitance=16e-6,
            ),
            *HEATERS,
        ),
    ),
    Unit(
        name="bridge-capacitor-input-60-hz",
        core=SMALL,
        windings=(LoadedWinding("primary", 1150, 120.0), LoadedWinding("low", 132, 1.1)),
        own_leakage=(15e-9, 15e-9),
        shared=0.3,
        voltage=117.0,
        frequency=60.0,
        loads=(
            RectifierLoad(
                "low",
                Circuit.BRIDGE,
                Filter.CAPACITOR_INPUT,
                Diode(0.8, 0.05),
                load_resistance=40.0,
                capacitance=2200e-6,
            ),
        ),
    ),
    Unit(
        name="bridge-of-real-diodes-50-hz",
        core=SMALL,
        windings=(
            LoadedWinding("primary", 2400, 420.0),
            LoadedWinding("low", 150, 1.4),
            LoadedWinding("lamp", 66, 0.5),
        ),
        own_leakage=(15e-9, 15e-9, 20e-9),
        shared=0.3,
        voltage=230.0,
        frequency=50.0,
        loads=(
            RectifierLoad(
                "low",
                Circuit.BRIDGE,
                Filter.CAPACITOR_INPUT,
                _chord(2.5e-9, 1.75, 0.04, 1.0),
                load_resistance=50.0,
                capacitance=1000e-6,
            ),
            ResistiveLoad.rated("lamp", 6.0, 0.3),
        ),
        real_diode=SILICON_BRIDGE,
    ),
    Unit(
        name="bridge-choke-input-60-hz",
        core=RECEIVER,
        windings=(LoadedWinding("primary", 290, 2.6), LoadedWinding("ht", 800, 26.0), SIXTEEN),
        own_leakage=(12e-9, 25e-9, 22e-9),
        shared=0.4,
        voltage=117.0,
        frequency=60.0,
        loads=(
            RectifierLoad(
                "ht",
                Circuit.BRIDGE,
                Filter.CHOKE_INPUT,
                Diode(0.8, 0.5),
                load_resistance=2200.0,
                capacitance=30e-6,
                choke_inductance=8.0,
                choke_resistance=90.0,
            ),
            ResistiveLoad.rated("heater", 6.3, 3.0),
        ),
        cycles=300,
    ),
    Unit(
        name="choke-input-below-its-critical-current-50-hz",
        core=RECEIVER,
        windings=(PRIMARY, HT, HEATER),
        own_leakage=(12e-9, 25e-9, 22e-9),
        shared=0.4,
        voltage=230.0,
        frequency=50.0,
        loads=(
            RectifierLoad(
                "ht",
                Circuit.FULL_WAVE,
                Filter.CHOKE_INPUT,
                Diode(0.0, 160.0),
                load_resistance=20e3,
                capacitance=16e-6,
                choke_inductance=5.0,
                choke_resistance=120.0,
            ),
            ResistiveLoad.rated("heater", 6.3, 3.0),
        ),
        cycles=400,
    ),
    Unit(
        name="full-wave-tap-off-the-middle-50-hz",
        core=SMALL,
        windings=(LoadedWinding("primary", 2600, 420.0), LoadedWinding("low", 150, 1.4, (0.8, 0.6), (84.0, 66.0))),
        own_leakage=(30e-9, 40e-9),
        shared=0.4,
        voltage=230.0,
        frequency=50.0,
        loads=(
            RectifierLoad(
                "low",
                Circuit.FULL_WAVE,
                Filter.CAPACITOR_INPUT,
                Diode(0.8, 0.1),
                load_resistance=300.0,
                capacitance=1000e-6,
            ),
        ),
        cycles=100,
    ),
    Unit(
        name="half-wave-magnetises-the-core-50-hz",
        core=SMALL,
        windings=(LoadedWinding("primary", 2600, 420.0), LoadedWinding("bias", 500, 18.0)),
        own_leakage=(15e-9, 15e-9),
        shared=0.3,
        voltage=230.0,
        frequency=50.0,
        loads=(
            RectifierLoad(
                "bias",
                Circuit.HALF_WAVE,
                Filter.CAPACITOR_INPUT,
                Diode(0.8, 0.1),
                load_resistance=3300.0,
                capacitance=50e-6,
            ),
        ),
        cycles=400,
    ),
)

CASES = tuple(SpiceCase(name=f"on-load-{unit.name}", netlist=unit.netlist, ours=unit.ours) for unit in UNITS)
