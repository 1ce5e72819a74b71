"""The exciting current at many volts at once: RMS and watts with their doubts, and the wave's factors."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.emf import EMF_FACTOR
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import MU_0

__all__ = ["CurveCauses", "ExcitingPoints", "curve_causes", "curve_log_spreads", "exciting_curve", "wave_factors"]

_QUARTER = np.sin(np.linspace(0.0, math.pi / 2, 91))
# Of the whole cycle of 360 samples, in which all but the first and the last of a quarter stand four times.
_WEIGHT = np.concatenate([[2.0], np.full(89, 4.0), [2.0]]) / 360.0


@dataclass(frozen=True)
class ExcitingPoints:
    """Arrays (n,): RMS current [A], core loss [W], peak flux density [T]."""

    current: NDArray[np.float64]
    core_loss: NDArray[np.float64]
    flux_density: NDArray[np.float64]


@dataclass(frozen=True)
class CurveCauses:
    """What makes a good core's curve differ, one standard uncertainty each: changes of ln I and of ln loss (c, n)."""

    on_current: NDArray[np.float64]
    on_loss: NDArray[np.float64]


def exciting_curve(core: MagneticCore, turns: float, voltage: NDArray[np.float64], frequency: float) -> ExcitingPoints:
    """Exciting current of `turns` N under sine EMFs `voltage` (n,) [V rms] > 0 at `frequency` [Hz].

    The same as `exciting` at each of them (a test shows it), from a quarter of the cycle: the magnetising current is
    symmetrical about its peak, and orthogonal to the one that carries the loss.  Raises ValueError as `exciting` does.
    """
    voltage = np.asarray(voltage, dtype=float)
    if not (turns > 0 and frequency > 0 and np.all(voltage > 0)):
        raise ValueError("turns, frequency and voltage must be more than 0")
    peak = voltage / (EMF_FACTOR * frequency * turns * core.area)
    b = peak[:, None] * _QUARTER
    magnetising = (core.steel.field_at(b) * core.path + b * core.joint / MU_0) / turns
    loss = core.steel.loss_at(peak, frequency) * core.mass * core.building_factor
    return ExcitingPoints(np.sqrt(magnetising**2 @ _WEIGHT + (loss / voltage) ** 2), loss, peak)


def wave_factors(
    core: MagneticCore, turns: float, voltage: NDArray[np.float64], frequency: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Form factor and crest factor (n,) of the exciting current of `turns` N under sine EMFs `voltage` (n,) [V rms].

    The same wave as `exciting_waveform`'s (a test shows it), from half a cycle.  Raises ValueError as `exciting` does.
    """
    points = exciting_curve(core, turns, voltage, frequency)
    angle = np.linspace(-math.pi / 2, math.pi / 2, 180, endpoint=False)
    b = points.flux_density[:, None] * np.sin(angle)
    magnetising = (core.steel.field_at(b) * core.path + b * core.joint / MU_0) / turns
    working = math.sqrt(2.0) * (points.core_loss / np.asarray(voltage, dtype=float))[:, None] * np.cos(angle)
    size = np.abs(magnetising + working)
    return points.current / np.mean(size, axis=1), np.max(size, axis=1) / points.current


def curve_log_spreads(
    core: MagneticCore, turns: float, voltage: NDArray[np.float64], frequency: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """u of ln(RMS current) and of ln(core loss) at each of `voltage` (n,): steel, joints, stack and loss.

    As `exciting_log_spread` and `power_log_spread`, each cause moved by its standard uncertainty.
    """
    voltage = np.asarray(voltage, dtype=float)
    base = exciting_curve(core, turns, voltage, frequency)
    u_log_loss = math.hypot(core.steel.loss_log_spread, core.u_log_building)
    # The field's spread differs with the flux density, so that each point has a steel of its own; the curve's shape
    # about the peak decides its RMS, and the peak's spread moves all of it.
    steel = np.log(_moved_field(core, turns, base.flux_density, base.core_loss / voltage) / base.current)
    joint = exciting_curve(replace(core, joint=core.joint + core.u_joint), turns, voltage, frequency)
    smaller = exciting_curve(replace(core, area=core.area * math.exp(-core.u_log_area)), turns, voltage, frequency)
    lossy = replace(core, building_factor=core.building_factor * math.exp(u_log_loss))
    more_loss = exciting_curve(lossy, turns, voltage, frequency)
    changes = [steel, *(np.log(one.current / base.current) for one in (joint, smaller, more_loss))]
    area_on_loss = np.log(smaller.core_loss / base.core_loss)
    return np.sqrt(sum(change**2 for change in changes)), np.hypot(u_log_loss, area_on_loss)


def curve_causes(
    core: MagneticCore, turns: float, voltage: NDArray[np.float64], frequency: float, base: ExcitingPoints
) -> CurveCauses:
    """Steel, joints, stack and loss one by one, where `curve_log_spreads` adds them up.

    base: `exciting_curve` of the same arguments.  Points of one curve share a cause, currents and losses too: more of
    the sheet's loss shows in both.
    """
    voltage = np.asarray(voltage, dtype=float)
    b = base.flux_density[:, None] * _QUARTER
    field, air = core.steel.field_at(b) * core.path, b * core.joint / MU_0
    working = (base.core_loss / voltage) ** 2
    factors = np.exp(core.steel.published_deviations(base.flux_density))[:, :, None]
    moved = np.sqrt(((field * factors + air) / turns) ** 2 @ _WEIGHT + working)
    jointed = np.sqrt(((field + b * (core.joint + core.u_joint) / MU_0) / turns) ** 2 @ _WEIGHT + working)
    smaller = exciting_curve(replace(core, area=core.area * math.exp(-core.u_log_area)), turns, voltage, frequency)
    u_log_loss = math.hypot(core.steel.loss_log_spread, core.u_log_building)
    lossy = np.sqrt(base.current**2 + working * (math.exp(2 * u_log_loss) - 1))
    currents = np.log(np.vstack([moved, jointed, smaller.current, lossy]) / base.current)
    losses = np.zeros_like(currents)
    losses[-2] = np.log(smaller.core_loss / base.core_loss)
    losses[-1] = u_log_loss
    return CurveCauses(currents, losses)


def _moved_field(
    core: MagneticCore, turns: float, peak: NDArray[np.float64], working: NDArray[np.float64]
) -> NDArray[np.float64]:
    """RMS currents [A] (n,) with the steel's field moved by its spread at each peak [T] (n,); working [A rms] (n,)."""
    factor = np.exp(core.steel.field_log_spread(peak))[:, None]
    b = peak[:, None] * _QUARTER
    magnetising = (core.steel.field_at(b) * factor * core.path + b * core.joint / MU_0) / turns
    return np.asarray(np.sqrt(magnetising**2 @ _WEIGHT + working**2))
