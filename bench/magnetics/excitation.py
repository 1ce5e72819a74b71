"""The current and the watts that a core takes with nothing connected to its other windings."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.emf import flux_density
from bench.magnetics.steady_flux import steady_flux
from bench.magnetics.steel import MU_0, Steel
from bench.magnetics.waveform import Waveform

__all__ = [
    "Exciting",
    "ExcitingAtTerminals",
    "ExcitingWaveform",
    "MagneticCore",
    "exciting",
    "exciting_at_terminals",
    "exciting_log_spread",
    "exciting_waveform",
    "exciting_waveform_at_terminals",
    "magnetising_drop",
    "power_log_spread",
]


@dataclass(frozen=True)
class MagneticCore:
    """A stacked core as the flux sees it.

    area A [m2] net, path l [m], steel; joint [m]: length of air that the joints amount to;
    building_factor: loss of the stacked core over that of the sheet.  u_log_area, u_joint [m], u_log_building: their
    standard uncertainties.
    """

    area: float
    path: float
    steel: Steel
    joint: float = 0.0
    building_factor: float = 1.0
    u_log_area: float = 0.0
    u_joint: float = 0.0
    u_log_building: float = 0.0

    @property
    def mass(self) -> float:
        """Mass of the steel [kg]: area x path x density."""
        return self.area * self.path * self.steel.density


@dataclass(frozen=True)
class Exciting:
    """What a core takes: RMS current [A], its peak [A], mean rectified [A], core loss [W], flux density [T] peak."""

    current: float
    peak: float
    mean: float
    core_loss: float
    flux_density: float


@dataclass(frozen=True)
class ExcitingAtTerminals(Exciting):
    """What the fed winding takes from a sine at its terminals: as above, and what its own copper does to it.

    emf [V rms] that is left for the turns; power [W] that a wattmeter at the terminals shows, core loss + I2R;
    working [A rms] in phase with the EMF, magnetising [A rms] fundamental, a quarter cycle behind it.
    """

    emf: float
    power: float
    working: float
    magnetising: float


@dataclass(frozen=True)
class ExcitingWaveform:
    """One cycle of what a core takes, arrays (n,) at equal steps: phase [rad], emf [V], flux_density [T], and the
    magnetising and the working part of the current [A].

    Phase 0 is where the volts that were given are at their peak.
    """

    phase: NDArray[np.float64]
    emf: NDArray[np.float64]
    flux_density: NDArray[np.float64]
    magnetising: NDArray[np.float64]
    working: NDArray[np.float64]

    @property
    def current(self) -> Waveform:
        """The exciting current: its samples, RMS, mean rectified, peak, factors, and what a meter shows of it."""
        return Waveform(self.magnetising + self.working)

    @property
    def core_loss(self) -> float:
        """Core loss [W]: the mean of EMF times current; the magnetising part adds nothing to it."""
        return float(np.mean(self.emf * self.working))

    @property
    def working_current(self) -> float:
        """Iw [A rms]: the current that carries the core loss, core loss / EMF."""
        return Waveform(self.working).rms

    @property
    def magnetising_current(self) -> float:
        """Im [A rms]: the current that carries the flux, with its harmonics."""
        return Waveform(self.magnetising).rms

    @property
    def magnetising_fundamental(self) -> float:
        """Im1 [A rms]: the fundamental of Im; its harmonics move no volts of mains frequency."""
        return Waveform(self.magnetising).fundamental


def exciting_waveform(
    core: MagneticCore, turns: float, voltage: float, frequency: float, samples: int = 360
) -> ExcitingWaveform:
    """Waveform of the exciting current of `turns` N under a sine EMF of `voltage` [V rms] at `frequency` [Hz].

    i N = H(B) l + B g / mu0, point by point over a cycle of sinusoidal flux, and in phase with the EMF the current
    that carries the core loss.  samples: points a cycle, a multiple of 4, so that both peaks are among them.
    Raises ValueError for turns, voltage, frequency or samples outside their range.
    Source: the magnetic circuit, any textbook; checked against ngspice's transient in tests/outside.
    """
    phase = _phase(samples)
    b_peak = flux_density(voltage, frequency, turns, core.area)
    loss = float(core.steel.loss_at(b_peak, frequency)) * core.mass * core.building_factor
    emf = math.sqrt(2.0) * voltage * np.cos(phase)
    b = b_peak * np.sin(phase)
    conductance = loss / voltage**2 if voltage > 0 else 0.0
    return ExcitingWaveform(phase, emf, b, _magnetising(core, turns, b), conductance * emf)


def exciting_waveform_at_terminals(
    core: MagneticCore,
    turns: float,
    voltage: float,
    frequency: float,
    resistance: float,
    leakage_inductance: float = 0.0,
    samples: int = 192,
) -> ExcitingWaveform:
    """Waveform of the exciting current under a sine of `voltage` [V rms] at the winding's terminals.

    resistance R1 [ohm] >= 0 and leakage inductance L1 [H] >= 0 of the fed winding, in series.  A peaky current takes
    its drop where the volts pass through nothing, so that the EMF and the flux are no sines any more: the steady
    state is solved point by point.  The core loss is that of a sine of the same peak flux density.
    samples: points a cycle; 192 leave 0.1 % in the RMS, and 0.5 % in the watts beyond 1.9 T behind a few ohms.
    Raises ValueError for an argument outside its range, ArithmeticError where no steady state is found.
    """
    if resistance < 0 or leakage_inductance < 0:
        raise ValueError(
            f"resistance {resistance:g} ohm and leakage inductance {leakage_inductance:g} H must not be negative"
        )
    if voltage == 0 or (resistance == 0 and leakage_inductance == 0):
        return exciting_waveform(core, turns, voltage, frequency, samples)
    phase = _phase(samples)
    flux_density(voltage, frequency, turns, core.area)
    mass = core.mass * core.building_factor
    found = steady_flux(
        magnetising=lambda b: _magnetising(core, turns, b),
        conductance=lambda b_peak, emf: float(core.steel.loss_at(b_peak, frequency)) * mass / emf**2,
        linkage=turns * core.area,
        voltage=voltage,
        frequency=frequency,
        resistance=resistance,
        inductance=leakage_inductance,
        samples=samples,
    )
    b, emf = found.flux_density, found.emf
    return ExcitingWaveform(phase, emf, b, _magnetising(core, turns, b), found.conductance * emf)


def exciting(core: MagneticCore, turns: float, voltage: float, frequency: float) -> Exciting:
    """Exciting current of `turns` N under a sine EMF of `voltage` [V rms] at `frequency` [Hz].

    The waveform's figures: see `exciting_waveform`.  The drop in the winding's own resistance is left out: feed the
    EMF, not the terminal volts, or take `exciting_at_terminals` where it counts.
    Raises ValueError for turns, voltage or frequency outside their range.
    Checked against a published test (Sawhney 5.18) and against the time-domain solution in the tests.
    """
    wave = exciting_waveform(core, turns, voltage, frequency)
    current = wave.current
    return Exciting(
        current=current.rms,
        peak=current.peak,
        mean=current.mean,
        core_loss=wave.core_loss,
        flux_density=float(np.max(np.abs(wave.flux_density))),
    )


def exciting_at_terminals(
    core: MagneticCore,
    turns: float,
    voltage: float,
    frequency: float,
    resistance: float,
    leakage_inductance: float = 0.0,
) -> ExcitingAtTerminals:
    """Exciting current of `turns` N under a sine of `voltage` [V rms] at the terminals of the fed winding.

    resistance R1 [ohm], leakage inductance L1 [H] of the fed winding: see `exciting_waveform_at_terminals`.
    """
    wave = exciting_waveform_at_terminals(core, turns, voltage, frequency, resistance, leakage_inductance)
    current = wave.current
    return ExcitingAtTerminals(
        current=current.rms,
        peak=current.peak,
        mean=current.mean,
        core_loss=wave.core_loss,
        flux_density=float(np.max(np.abs(wave.flux_density))),
        emf=Waveform(wave.emf).rms,
        power=wave.core_loss + resistance * current.rms**2,
        working=wave.working_current,
        magnetising=wave.magnetising_fundamental,
    )


def magnetising_drop(working: float, magnetising: float, resistance: float, leakage_reactance: float) -> float:
    """Volts that the exciting current takes in the fed winding: dV = Iw R1 + Im X1, terminal volts less EMF.

    working Iw [A rms] in phase with the EMF, magnetising Im [A rms] (its fundamental) a quarter cycle behind it,
    resistance R1 [ohm], leakage reactance X1 [ohm], none negative.  Only the part of a drop that is in phase with the
    EMF takes volts from it; Im R1 turns the phase and takes (Im R1)^2 / 2E, left out here: 0.03 V of 120 V at 2.6 V.
    Raises ValueError.  Source: the phasor diagram of the transformer at no load, any textbook.
    """
    if min(working, magnetising, resistance, leakage_reactance) < 0:
        raise ValueError("currents, resistance and reactance must not be negative")
    return working * resistance + magnetising * leakage_reactance


def exciting_log_spread(core: MagneticCore, turns: float, voltage: float, frequency: float) -> float:
    """u of ln(RMS exciting current): steel, joints, stack and loss, each moved by its standard uncertainty."""
    base = exciting(core, turns, voltage, frequency)
    log_field = float(core.steel.field_log_spread(base.flux_density))
    moved = (
        replace(core, steel=replace(core.steel, field=core.steel.field * math.exp(log_field))),
        replace(core, joint=core.joint + core.u_joint),
        replace(core, area=core.area * math.exp(-core.u_log_area)),
        replace(core, building_factor=core.building_factor * math.exp(_u_log_loss(core))),
    )
    changes = [math.log(exciting(one, turns, voltage, frequency).current / base.current) for one in moved]
    return math.sqrt(sum(change**2 for change in changes))


def power_log_spread(core: MagneticCore, turns: float, voltage: float, frequency: float) -> float:
    """u of ln(core loss): the sheet's spread, the building factor's, and the stack's."""
    base = exciting(core, turns, voltage, frequency).core_loss
    smaller = replace(core, area=core.area * math.exp(-core.u_log_area))
    area = math.log(exciting(smaller, turns, voltage, frequency).core_loss / base)
    return math.hypot(_u_log_loss(core), area)


def _u_log_loss(core: MagneticCore) -> float:
    return math.hypot(core.steel.loss_log_spread, core.u_log_building)


def _magnetising(core: MagneticCore, turns: float, b: NDArray[np.float64]) -> NDArray[np.float64]:
    return (core.steel.field_at(b) * core.path + b * core.joint / MU_0) / turns


@lru_cache(maxsize=8)
def _phase(samples: int) -> NDArray[np.float64]:
    if samples < 32 or samples % 4:
        raise ValueError(f"{samples} samples a cycle, expected a multiple of 4 from 32 on")
    phase = np.linspace(0.0, 2 * math.pi, samples, endpoint=False)
    phase.flags.writeable = False
    return phase
