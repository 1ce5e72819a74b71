"""The steel of a core that goes back in, by the exciting curve that was read before it was taken apart."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bench.job.as_found import AsFound
from bench.magnetics.emf import EMF_FACTOR
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import curve_log_spreads, exciting_curve
from bench.magnetics.steel import HIGHEST_LOSS_FREQUENCY, LOWEST_LOSS_FREQUENCY, Steel

__all__ = ["CoreAsFound", "core_as_found"]

_U_LOG_FIELD, _U_LOG_LOSS = 0.04, 0.03
"""u of ln(field) and ln(loss) of the same laminations when they were taken apart and stacked again: they are bent and
clamped anew, and their edges touch elsewhere (common practice, no source).  Their joints have a doubt of their own."""

_U_LOG_FIELD_BELOW = 0.1
"""What that grows by for each e-fold of flux under the lowest point that was read (common practice, no source)."""

_ROUNDS = 12
_COVERAGE = 2.0
_TABLES_TELL = 0.3
"""Flux density [T] from which the sheet's tables tell its loss well enough to find a core's too high."""
_STEEPEST = 14.0
"""d ln I / d ln V beyond which two points are no core's: deep in saturation the published curves reach 10."""


@dataclass(frozen=True)
class CoreAsFound:
    """core: with its steel moved so that it takes what it took, or as it was;  refused: why its curve is no measure of
    a good core, empty where it is one or where none was read."""

    core: MagneticCore
    refused: str = ""


def core_as_found(core: MagneticCore, found: AsFound) -> CoreAsFound:
    """The core with its steel's field (and loss, where watts were read) moved to the exciting curve as found.

    A unit that was found with a shorted turn took too much as well: its curve is taken for a measure only where its
    watts are what the job's steel may take (95 %), or, without watts, its current is.  The field is moved at the flux
    density of each point, in between in proportion of the logarithms; below the lowest point the spread grows with the
    distance, above the highest the published one stays.  A gap or a thin stack still adds to it what it adds.
    """
    turns, frequency = found.curve_turns, found.frequency
    if len(found.exciting) < 3 or turns is None or frequency is None:
        return CoreAsFound(core)
    if not LOWEST_LOSS_FREQUENCY <= frequency <= HIGHEST_LOSS_FREQUENCY:
        return CoreAsFound(core)
    points = sorted(found.exciting, key=lambda one: one.voltage)
    volts = np.array([one.voltage for one in points])
    amps = np.array([one.current for one in points])
    ohms = _resistance(found)
    watts = np.array([math.nan if one.power is None else one.power - ohms * one.current**2 for one in points])
    refused = _no_core(volts, amps) or _no_sheet(core, turns, frequency, volts, amps, watts)
    if refused:
        return CoreAsFound(core, refused)
    flux = volts / (EMF_FACTOR * frequency * turns * core.area)
    steel = _with_loss_as_read(core, turns, volts, watts, frequency)
    logs = np.zeros(len(points))
    for _ in range(_ROUNDS):
        moved = replace(core, steel=_moved(steel, flux, logs))
        taken = exciting_curve(moved, turns, volts, frequency).current
        # The working current stands beside the magnetising one, so that the field must move further than the current.
        logs = np.clip(logs + 1.2 * np.log(amps / taken), -2.0, 2.0)
    # What a stacked core loses over its sheet is in its own watts, where those were read.
    u_log_building = 0.0 if np.any(watts > 0) else core.u_log_building
    return CoreAsFound(replace(core, steel=_moved(steel, flux, logs), u_log_building=u_log_building))


def _resistance(found: AsFound) -> float:
    """Ohms of the winding that took the curve, whose own watts are no core's; 0 where nobody read them."""
    return next((one.resistance.value for one in found.resistance if found.fed and one.winding == found.fed), 0.0)


def _no_core(volts: NDArray[np.float64], amps: NDArray[np.float64]) -> str:
    """Why two neighbouring points are no core's; empty where all may be."""
    for (v0, i0), (v1, i1) in itertools.pairwise(zip(volts, amps, strict=True)):
        if v1 <= v0 or i1 <= i0:
            return f"its current does not rise from {v0:g} V to {v1:g} V"
        if math.log(i1 / i0) > _STEEPEST * math.log(v1 / v0):
            return f"its current rises from {v0:g} V to {v1:g} V as no core's does"
    return ""


def _no_sheet(
    core: MagneticCore,
    turns: float,
    frequency: float,
    volts: NDArray[np.float64],
    amps: NDArray[np.float64],
    watts: NDArray[np.float64],
) -> str:
    """Why no sheet of the family takes this; empty where some may."""
    calculated = exciting_curve(core, turns, volts, frequency)
    u_log_amps, u_log_watts = curve_log_spreads(core, turns, volts, frequency)
    known = watts > 0
    if known.any():
        told = known & (calculated.flux_density >= min(_TABLES_TELL, calculated.flux_density[known].max()))
        excess = np.log(watts[told] / calculated.core_loss[told])
        if np.any(excess > _COVERAGE * u_log_watts[told]):
            times = math.exp(float(excess.max()))
            return (
                f"it took {times:.2g} times the watts that such a core should: a shorted turn, a closed screen or "
                f"bridged "
                "laminations in the unit as found"
            )
        return ""
    excess = np.log(amps / calculated.current)
    if np.any(excess > _COVERAGE * u_log_amps):
        times = math.exp(float(excess.max()))
        return (
            f"it took {times:.2g} times the current that such a core should, and without watts nobody can tell a poor "
            f"steel "
            "from a shorted turn: as_found.exciting.power"
        )
    return ""


def _moved(steel: Steel, flux: NDArray[np.float64], logs: NDArray[np.float64]) -> Steel:
    """Field times e^logs at the flux densities `flux`, on a grid that has them as well as the steel's own."""
    grid = np.unique(np.concatenate([steel.flux_density, flux]))
    factor = np.exp(np.interp(np.log(grid), np.log(flux), logs))
    # The rate at which the points were read may make a field fall by a hair between two of them: it stands still there.
    field = np.maximum.accumulate(steel.field_at(grid) * factor) * (1 + 1e-9 * np.arange(len(grid)))
    published = np.interp(grid, steel.flux_density, steel.log_spread)
    # Below the lowest point the curve goes on nearly as it was; above the highest one the knee may come at any time.
    below = np.maximum(0.0, np.log(flux[0] / np.maximum(grid, 1e-9)))
    told = _U_LOG_FIELD + _U_LOG_FIELD_BELOW * below
    read = grid <= flux[-1] * (1 + 1e-9)
    spread = np.where(read, np.minimum(told, published), published)
    curves = [np.exp(np.interp(np.log(grid), np.log(steel.flux_density), np.log(one))) for one in steel.published]
    return replace(
        steel, flux_density=grid, field=field, log_spread=spread, published=np.array(curves).reshape(-1, len(grid))
    )


def _with_loss_as_read(
    core: MagneticCore, turns: float, volts: NDArray[np.float64], watts: NDArray[np.float64], frequency: float
) -> Steel:
    """Loss times the factors by which the watts read lie over the calculated ones, in between in proportion of the
    logarithms; below the lowest point as there, above the highest one too."""
    known = watts > 0
    if not known.any():
        return core.steel
    flux = volts[known] / (EMF_FACTOR * frequency * turns * core.area)
    logs = np.log(watts[known] / exciting_curve(core, turns, volts[known], frequency).core_loss)
    steel = core.steel
    grid = np.unique(np.concatenate([steel.loss_flux_density, flux]))
    # The sheet's own loss on the new grid, at its own frequency: the exponent of the frequency is kept point by point.
    loss = steel.loss_at(grid, steel.loss_frequency) * np.exp(np.interp(np.log(grid), np.log(flux), logs))
    exponent = steel.loss_exponent
    if not isinstance(exponent, float):
        exponent = np.interp(grid, steel.loss_flux_density, exponent)
    return replace(steel, loss_flux_density=grid, loss=loss, loss_exponent=exponent, loss_log_spread=_U_LOG_LOSS)
