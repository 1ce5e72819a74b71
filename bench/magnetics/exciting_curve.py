"""The exciting current at many volts at once: RMS and watts with their doubts, and the wave's factors."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.emf import EMF_FACTOR
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import MU_0

__all__ = [
    "CurveCauses",
    "ExcitingParts",
    "ExcitingPoints",
    "curve_causes",
    "curve_log_spreads",
    "exciting_curve",
    "exciting_parts",
    "smaller_core",
    "wave_factors",
]

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


@dataclass(frozen=True)
class ExcitingParts:
    """What the exciting current of a core at given volts is made of, for whatever joints, field and loss it has.

    voltage [V rms], flux_density [T peak] (n,); field_squared, air_squared, crossed (n,): means over the cycle of the
    squares of the current that drives the steel's field [A2], of the one that drives the flux through a metre of air
    [A2/m2], and of both multiplied [A2/m];  loss [W] (n,).
    """

    voltage: NDArray[np.float64]
    flux_density: NDArray[np.float64]
    field_squared: NDArray[np.float64]
    air_squared: NDArray[np.float64]
    crossed: NDArray[np.float64]
    loss: NDArray[np.float64]

    def current(
        self, joint: float, field_factor: float | NDArray[np.float64] = 1.0, loss_factor: float = 1.0
    ) -> NDArray[np.float64]:
        """RMS current [A] (n,) with so much air [m]; of field_factor (k, n), (k, n)."""
        magnetising = (
            field_factor**2 * self.field_squared + 2 * field_factor * joint * self.crossed + joint**2 * self.air_squared
        )
        return np.asarray(np.sqrt(magnetising + (loss_factor * self.loss / self.voltage) ** 2))


def exciting_parts(core: MagneticCore, turns: float, voltage: NDArray[np.float64], frequency: float) -> ExcitingParts:
    """Of `turns` N under sine EMFs `voltage` (n,) [V rms] > 0 at `frequency` [Hz]; the core's joint is not in them.

    From a quarter of the cycle: the magnetising current is symmetrical about its peak, and orthogonal to the one that
    carries the loss.  Raises ValueError as `exciting` does.
    """
    voltage = np.asarray(voltage, dtype=float)
    if not (turns > 0 and frequency > 0 and np.all(voltage > 0)):
        raise ValueError("turns, frequency and voltage must be more than 0")
    peak = voltage / (EMF_FACTOR * frequency * turns * core.area)
    b = peak[:, None] * _QUARTER
    field, air = core.steel.field_at(b) * core.path / turns, b / (MU_0 * turns)
    loss = core.steel.loss_at(peak, frequency) * core.mass * core.building_factor
    return ExcitingParts(voltage, peak, field**2 @ _WEIGHT, air**2 @ _WEIGHT, (field * air) @ _WEIGHT, loss)


def exciting_curve(core: MagneticCore, turns: float, voltage: NDArray[np.float64], frequency: float) -> ExcitingPoints:
    """Exciting current of `turns` N under sine EMFs `voltage` (n,) [V rms] > 0 at `frequency` [Hz].

    The same as `exciting` at each of them (a test shows it).  Raises ValueError as `exciting` does.
    """
    parts = exciting_parts(core, turns, voltage, frequency)
    return ExcitingPoints(parts.current(core.joint), parts.loss, parts.flux_density)


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
    smaller = exciting_curve(smaller_core(core), turns, voltage, frequency)
    lossy = replace(core, building_factor=core.building_factor * math.exp(u_log_loss))
    more_loss = exciting_curve(lossy, turns, voltage, frequency)
    changes = [steel, *(np.log(one.current / base.current) for one in (joint, smaller, more_loss))]
    area_on_loss = np.log(smaller.core_loss / base.core_loss)
    return np.sqrt(sum(change**2 for change in changes)), np.hypot(u_log_loss, area_on_loss)


def curve_causes(
    core: MagneticCore,
    parts: ExcitingParts,
    smaller: ExcitingParts,
    field_factor: float = 1.0,
    loss_factor: float = 1.0,
) -> CurveCauses:
    """Steel, joints, stack and loss one by one, where `curve_log_spreads` adds them up.

    parts: of this core, whatever its joint;  smaller: of `smaller_core`, at the same volts;  field_factor, loss_factor:
    of the steel, over that of the parts.  Points of one curve share a cause, currents and losses too: more of the
    sheet's loss shows in both.
    """
    joint = core.joint
    base = parts.current(joint, field_factor, loss_factor)
    moved = parts.current(
        joint, field_factor * np.exp(core.steel.published_deviations(parts.flux_density)), loss_factor
    )
    jointed = parts.current(joint + core.u_joint, field_factor, loss_factor)
    less = smaller.current(joint, field_factor, loss_factor)
    u_log_loss = math.hypot(core.steel.loss_log_spread, core.u_log_building)
    lossy = parts.current(joint, field_factor, loss_factor * math.exp(u_log_loss))
    currents = np.log(np.vstack([moved, jointed, less, lossy]) / base)
    losses = np.zeros_like(currents)
    losses[-2] = np.log(smaller.loss / parts.loss)
    losses[-1] = u_log_loss
    return CurveCauses(currents, losses)


def smaller_core(core: MagneticCore) -> MagneticCore:
    """With an area that lies one standard uncertainty under its own."""
    return replace(core, area=core.area * math.exp(-core.u_log_area))


def _moved_field(
    core: MagneticCore, turns: float, peak: NDArray[np.float64], working: NDArray[np.float64]
) -> NDArray[np.float64]:
    """RMS currents [A] (n,) with the steel's field moved by its spread at each peak [T] (n,); working [A rms] (n,)."""
    factor = np.exp(core.steel.field_log_spread(peak))[:, None]
    b = peak[:, None] * _QUARTER
    magnetising = (core.steel.field_at(b) * factor * core.path + b * core.joint / MU_0) / turns
    return np.asarray(np.sqrt(magnetising**2 @ _WEIGHT + working**2))
