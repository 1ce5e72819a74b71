"""The current and the watts that a core takes with nothing connected to its other windings."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from bench.magnetics.emf import flux_density
from bench.magnetics.steel import MU_0, Steel

__all__ = ["Exciting", "MagneticCore", "exciting", "exciting_log_spread", "power_log_spread"]

_PHASE = np.linspace(0.0, 2 * math.pi, 360, endpoint=False)


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


def exciting(core: MagneticCore, turns: float, voltage: float, frequency: float) -> Exciting:
    """Exciting current of `turns` N under a sine EMF of `voltage` [V rms] at `frequency` [Hz].

    i N = H(B) l + B g / mu0, point by point over a cycle of sinusoidal flux, and in phase with the EMF the current
    that carries the core loss; both are orthogonal, so that the RMS is their root sum of squares.
    The drop in the winding's own resistance is left out: feed the EMF, not the terminal volts, where it counts.
    Raises ValueError for turns, voltage or frequency outside their range.
    Checked against a published test (Sawhney 5.18) and against the time-domain solution in the tests.
    """
    b_peak = flux_density(voltage, frequency, turns, core.area)
    b = b_peak * np.sin(_PHASE)
    magnetising = (core.steel.field_at(b) * core.path + b * core.joint / MU_0) / turns
    loss = core.steel.loss_at(b_peak, frequency) * core.mass * core.building_factor
    working = math.sqrt(2.0) * (loss / voltage if voltage > 0 else 0.0) * np.cos(_PHASE)
    current = magnetising + working
    return Exciting(
        current=float(np.sqrt(np.mean(current**2))),
        peak=float(np.max(np.abs(current))),
        mean=float(np.mean(np.abs(current))),
        core_loss=loss,
        flux_density=b_peak,
    )


def exciting_log_spread(core: MagneticCore, turns: float, voltage: float, frequency: float) -> float:
    """u of ln(RMS exciting current): steel, joints, stack and loss, each moved by its standard uncertainty."""
    base = exciting(core, turns, voltage, frequency)
    log_field = core.steel.field_log_spread(base.flux_density)
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
