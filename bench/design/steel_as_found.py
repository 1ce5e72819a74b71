"""The steel of a core that goes back in, by the exciting curve that was read before it was taken apart."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bench.job.as_found import AsFound
from bench.magnetics.emf import EMF_FACTOR
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import exciting_curve
from bench.magnetics.steel import HIGHEST_LOSS_FREQUENCY, LOWEST_LOSS_FREQUENCY, Steel

__all__ = ["core_with_steel_as_found"]

_U_LOG_RESTACKED = 0.10
"""u of ln(current, watts) of a core that was taken apart and stacked again: 1.2 times as found is what is still passed
(common practice), taken as two of these."""

_ROUNDS = 12


def core_with_steel_as_found(core: MagneticCore, found: AsFound) -> MagneticCore:
    """The core with its steel's field (and loss, where watts were read) moved so that it takes the current as found.

    The field is moved at the flux density of each point read, in between in proportion of the logarithms, beyond the
    ends as at the ends; so a gap or a thin stack still adds to it what it adds.  The core as it is where fewer than
    three points were read, their winding's turns are not known, or no loss is known at their frequency.
    """
    turns, frequency = found.curve_turns, found.frequency
    if len(found.exciting) < 3 or turns is None or frequency is None:
        return core
    if not LOWEST_LOSS_FREQUENCY <= frequency <= HIGHEST_LOSS_FREQUENCY:
        return core
    points = sorted(found.exciting, key=lambda one: one.voltage)
    volts = np.array([one.voltage for one in points])
    amps = np.array([one.current for one in points])
    watts = np.array([math.nan if one.power is None else one.power for one in points])
    flux = volts / (EMF_FACTOR * frequency * turns * core.area)
    steel = _with_loss_as_read(core, turns, volts, watts, frequency)
    logs = np.zeros(len(points))
    for _ in range(_ROUNDS):
        moved = replace(core, steel=_moved(steel, flux, logs))
        taken = exciting_curve(moved, turns, volts, frequency).current
        # The working current stands beside the magnetising one, so that the field must move further than the current.
        logs = np.clip(logs + 1.2 * np.log(amps / taken), -2.0, 2.0)
    return replace(core, steel=_moved(steel, flux, logs), u_joint=0.0, u_log_building=0.0)


def _moved(steel: Steel, flux: NDArray[np.float64], logs: NDArray[np.float64]) -> Steel:
    """Field times e^logs at the flux densities `flux`, on a grid that has them as well as the steel's own."""
    grid = np.unique(np.concatenate([steel.flux_density, flux]))
    own = steel.field_at(grid)
    factor = np.exp(np.interp(np.log(grid), np.log(flux), logs))
    # A field that fell with rising flux would be no steel: what a slip in one reading makes of it is smoothed away.
    field = np.maximum.accumulate(own * factor) * (1 + 1e-9 * np.arange(len(grid)))
    return replace(steel, flux_density=grid, field=field, log_spread=np.full(len(grid), _U_LOG_RESTACKED))


def _with_loss_as_read(
    core: MagneticCore, turns: float, volts: NDArray[np.float64], watts: NDArray[np.float64], frequency: float
) -> Steel:
    """Loss times the mean factor by which the watts read lie over the calculated ones."""
    known = watts > 0
    if not known.any():
        return core.steel
    calculated = exciting_curve(core, turns, volts, frequency).core_loss
    factor = math.exp(float(np.mean(np.log(watts[known] / calculated[known]))))
    return replace(core.steel, loss=core.steel.loss * factor, loss_log_spread=_U_LOG_RESTACKED)
