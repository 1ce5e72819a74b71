"""Whether a core bears a flux density: by how its exciting current grows from nominal to the supply's upper limit."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from bench.magnetics.emf import emf
from bench.magnetics.excitation import MagneticCore, exciting
from bench.survey.interval import Interval

__all__ = ["LITTLE", "NO_SHEET", "TOO_MUCH", "WELL_SATURATED", "Bearing", "growth_of_steel"]

LITTLE = 1.5
TOO_MUCH = 2.0
"""Exciting current at 110 % of the volts over that at nominal: not over 1.5 to 2 (common practice, no source)."""


WELL_SATURATED = 1.75
"""[T] From here a silicon sheet is saturated, and its current grows slower again: growth says nothing any more
(published curves of profiles/steels, all of which lie beyond their knee by 0.2 T and more)."""

NO_SHEET = 2.05
"""[T] Saturation of silicon steel (memory): a flux density above it is a slip in turns, volts or core size."""


@dataclass(frozen=True)
class Bearing:
    """core: which core this says something of;  steel: by whose curves, empty where its own curve was read;
    nominal, highest [T]: flux density at nominal volts and at the supply's upper limit;  growth: of the exciting
    current from the one to the other;  stands: whether that core is there to be read."""

    core: str
    steel: str
    nominal: float
    highest: float
    growth: Interval
    stands: bool = True

    @property
    def measured(self) -> bool:
        return self.steel == ""

    @property
    def can_be_read(self) -> bool:
        """Whether a curve of it would tell more."""
        return self.stands and not self.measured

    @property
    def factor(self) -> float:
        """Growth times and over this holds 95 %."""
        return math.exp(2 * self.growth.relative)


def growth_of_steel(core: MagneticCore, flux_density: Interval, tolerance: float, frequency: float) -> Interval:
    """Growth of the exciting current from `flux_density` [T] to (1 + tolerance) times that.

    Its u: the scatter of the published curves of the steel's family about their mean, and what the doubt of the flux
    density itself does to it.
    """

    def growth(one: MagneticCore, nominal: float) -> float:
        volts = emf(frequency, 1.0, nominal, one.area)
        at_nominal = exciting(one, 1.0, volts, frequency).current
        return exciting(one, 1.0, volts * (1 + tolerance), frequency).current / at_nominal

    steel, value = core.steel, flux_density.value
    logs = np.log([growth(replace(core, steel=replace(steel, field=field)), value) for field in steel.published])
    own = math.log(growth(core, value))
    spread = float(np.std(logs, ddof=1)) * math.sqrt(1 + 1 / len(logs)) if len(logs) > 1 else 0.2
    by_flux = (math.log(growth(core, value + flux_density.u)) - math.log(growth(core, value - flux_density.u))) / 2
    return Interval.from_log(own, math.hypot(spread, by_flux))
