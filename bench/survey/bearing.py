"""Whether a core bears a flux density: by how its exciting current grows from nominal to the supply's upper limit."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from bench.magnetics.emf import emf
from bench.magnetics.excitation import MagneticCore, exciting
from bench.magnetics.steel import Steel
from bench.survey.interval import Interval

__all__ = ["LITTLE", "TOO_MUCH", "Bearing", "growth_of_steel"]

LITTLE = 1.5
TOO_MUCH = 2.0
"""Exciting current at 110 % of the volts over that at nominal: not over 1.5 to 2 (common practice, no source)."""


@dataclass(frozen=True)
class Bearing:
    """core: which core this says something of;  steel: by whose curves, empty where its own curve was read;
    highest [T]: flux density at the supply's upper limit;  growth: of the exciting current from nominal to there, with
    its standard uncertainty;  stands: whether that core is there to be read."""

    core: str
    steel: str
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


def growth_of_steel(core: MagneticCore, flux_density: float, tolerance: float, frequency: float) -> Interval:
    """Growth of the exciting current from `flux_density` [T] to (1 + tolerance) times that, with u from the scatter of
    the published curves of the steel's family about their mean."""

    def growth(one: MagneticCore) -> float:
        volts = emf(frequency, 1.0, flux_density, one.area)
        nominal = exciting(one, 1.0, volts, frequency).current
        return exciting(one, 1.0, volts * (1 + tolerance), frequency).current / nominal

    steel = core.steel
    logs = np.log([growth(replace(core, steel=_with_field(steel, field))) for field in steel.published])
    own = math.log(growth(core))
    spread = float(np.std(logs, ddof=1)) * math.sqrt(1 + 1 / len(logs)) if len(logs) > 1 else 0.2
    return Interval.from_log(own, spread)


def _with_field(steel: Steel, field: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Steel:
    return replace(steel, field=field)
