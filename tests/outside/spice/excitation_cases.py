"""Exciting currents of small E-I cores: straight, at the knee, saturated, gapped; at 50 and 60 Hz."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.job.profiles import load_table
from bench.magnetics.excitation import Exciting, MagneticCore, exciting, exciting_at_terminals
from bench.magnetics.excitation import exciting_waveform as emf_waveform
from bench.magnetics.steel import MU_0, Steel
from tests.outside.spice.case import SpiceCase
from tests.outside.spice.excitation_netlist import CoreCircuit, excitation_netlist, field_expression, field_table

__all__ = ["CASES"]

TONGUES = {"EI 48": 16e-3, "EI 60": 20e-3, "EI 66": 22e-3, "EI 84": 28e-3, "EI 96": 32e-3, "EI 105": 35e-3}
"""Scrapless laminations: tongue a [m], path 6a (path from memory, as in profiles/laminations)."""

STACKING = 0.93
BUILDING = 1.2

# Modelica Standard Library, FluxTubes.Material.SoftMagnetic.ElectricSheet: mu_i, B_myMax, c_a, c_b, n.
ROSCHKE = {"M350-50A": (1210.0, 1.16, 24630.0, 2.44, 14.0), "M530-50A": (2120.0, 1.25, 12400.0, 1.6, 13.5)}


@dataclass(frozen=True)
class Unit:
    """A winding on a core, and how ngspice is told its steel.

    ohmic: the loss is a resistor's, as ours is, so that the waves agree too; else a power of the EMF, which is nearer
    to sheet away from the peak and gives the loss current a third harmonic that ours has not.
    cycles: how many until the offset of the flux is gone; its time constant is inductance / resistance.
    """

    name: str
    lamination: str
    stack: float
    steel: Steel
    field: str
    turns: float
    voltage: float
    frequency: float
    resistance: float
    inductance: float = 0.0
    joint: float = 8e-6
    ohmic: bool = False
    cycles: int = 100

    @property
    def core(self) -> MagneticCore:
        tongue = TONGUES[self.lamination]
        area = tongue * self.stack * STACKING
        return MagneticCore(area, 6 * tongue, self.steel, joint=self.joint, building_factor=BUILDING)

    def netlist(self) -> str:
        core = self.core
        high = self.voltage / (np.pi * np.sqrt(2) * self.frequency * self.turns * core.area)
        kilograms = core.mass * BUILDING
        points = (float(high),) if self.ohmic else (0.88 * float(high), float(high))
        return excitation_netlist(
            CoreCircuit(
                title=f"{self.name}: {self.lamination}, {self.voltage:g} V {self.frequency:g} Hz, peak {high:.2f} T",
                field=self.field,
                turns=self.turns,
                area=core.area,
                path=core.path,
                joint=core.joint,
                voltage=self.voltage,
                frequency=self.frequency,
                resistance=self.resistance,
                inductance=self.inductance,
                loss=tuple((b, float(self.steel.loss_at(b, self.frequency)) * kilograms) for b in points),
            ),
            cycles=self.cycles,
        )

    def ours(self) -> dict[str, float]:
        feed = (self.core, self.turns, self.voltage, self.frequency)
        if self.resistance == 0.0:
            return _common(exciting(*feed)) | {"working": emf_waveform(*feed).working_current}
        found = exciting_at_terminals(*feed, self.resistance, self.inductance)
        return _common(found) | {"working": found.working, "emf": found.emf, "power": found.power}


def _common(found: Exciting) -> dict[str, float]:
    return {
        "current": found.current,
        "mean": found.mean,
        "peak": found.peak,
        "flux_density": found.flux_density,
        "core_loss": found.core_loss,
    }


def _published(curve: str) -> tuple[Steel, str]:
    """A steel with one published field curve and the loss of M530-65A; both stand in the profile with their source."""
    table = load_table("steels", "m530-65a")
    row = next(one for one in table["field"]["curve"] if one["name"] == curve)
    steel = _steel(curve, np.array(table["field"]["flux_density_T"]), np.array(row["field_A_m"]))
    return steel, field_table(steel.flux_density, steel.field)


def _closed_form(name: str) -> tuple[Steel, str]:
    """A steel whose field curve ngspice has in closed form and we have as points."""
    mu_i, b_max, c_a, c_b, n = ROSCHKE[name]
    b = np.geomspace(1e-3, 2.3, 600)
    ratio = b / b_max
    permeability = 1 + (mu_i - 1 + c_a * ratio) / (1 + c_b * ratio + ratio**n)
    return _steel(name, b, b / (MU_0 * permeability)), field_expression(*ROSCHKE[name])


def _straight(permeability: float) -> tuple[Steel, str]:
    b = np.array([0.01, 3.0])
    return _steel("straight", b, b / (MU_0 * permeability)), f"v(b)/(4e-7*pi*{permeability:g})"


def _steel(name: str, flux_density: NDArray[np.float64], field: NDArray[np.float64]) -> Steel:
    loss = load_table("steels", "m530-65a")["loss"]
    return Steel(
        name=name,
        density=7650.0,
        flux_density=flux_density,
        field=field,
        log_spread=np.zeros_like(flux_density),
        loss_flux_density=np.array(loss["flux_density_T"][1:]),
        loss=np.array(loss["loss_W_kg"][1:]),
        loss_frequency=50.0,
        loss_log_spread=0.0,
    )


M19, M530 = _published("M19"), _published("M530-65A")

UNITS = (
    Unit("straight-50-hz", "EI 66", 24e-3, *_straight(2000.0), 1650, 230.0, 50.0, 95.0, ohmic=True),
    Unit("low-flux-50-hz", "EI 84", 30e-3, *M530, 1700, 230.0, 50.0, 70.0, ohmic=True, cycles=300),
    Unit("knee-50-hz", "EI 96", 45e-3, *M19, 600, 230.0, 50.0, 14.0),
    Unit("saturated-50-hz", "EI 96", 45e-3, *M19, 662, 325.0, 50.0, 14.0),
    Unit("saturated-behind-much-copper-60-hz", "EI 48", 18e-3, *M530, 1050, 120.0, 60.0, 220.0),
    Unit("gapped-60-hz", "EI 66", 27e-3, *M530, 700, 120.0, 60.0, 33.2, joint=0.1e-3),
    Unit("knee-60-hz", "EI 60", 21e-3, *M530, 880, 117.0, 60.0, 55.0),
    Unit("closed-form-knee-50-hz", "EI 84", 30e-3, *_closed_form("M350-50A"), 930, 230.0, 50.0, 30.0, 40e-3),
    Unit("closed-form-saturated-60-hz", "EI 105", 36e-3, *_closed_form("M530-50A"), 220, 117.0, 60.0, 1.4, 1e-3),
    Unit("emf-alone-50-hz", "EI 96", 45e-3, *M19, 662, 253.0, 50.0, 0.0, ohmic=True),
)

CASES = tuple(
    SpiceCase(name=f"exciting-{unit.name}", netlist=unit.netlist, ours=unit.ours, within=0.005 if unit.ohmic else 0.02)
    for unit in UNITS
)
