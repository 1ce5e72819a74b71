"""The flux density that the turns per volt mean, on the supply that the unit was made for and on the new one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.job.model import Job
from bench.magnetics.emf import EMF_FACTOR
from bench.survey.interval import Interval

__all__ = ["Flux", "FluxAt", "flux_of", "usual_turns_per_volt"]


@dataclass(frozen=True)
class FluxAt:
    """Flux density [T] peak at one frequency [Hz], at nominal volts and at the supply's upper limit."""

    frequency: float
    nominal: Interval
    highest: Interval


@dataclass(frozen=True)
class Flux:
    """as_made: on the supply it was made for, None where nobody said which;  kept: with the same turns per volt on the
    new supply;  area [m2];
    turns_per_volt_for_same_flux: what the new frequency asks of every winding to leave the flux as it was."""

    area: float
    as_made: FluxAt | None
    kept: FluxAt | None
    turns_per_volt_for_same_flux: Interval | None

    @property
    def frequency_factor(self) -> float:
        """By how much the new frequency alone raises the flux: f old / f new."""
        if self.kept is None or self.as_made is None:
            return 1.0
        return self.as_made.frequency / self.kept.frequency


def flux_of(job: Job, turns_per_volt: Interval, rules: dict[str, Any]) -> Flux | None:
    """B = 1 / (4.4429 f T A): the volts don't come in, since turns go with them; None while the core is not known."""
    area, made, supply = job.core.net_area, job.made_for, job.supply
    if area is None or (made is None and supply is None):
        return None
    u_log_area = float(rules["core"]["u_log_area"])
    tolerance = supply.tolerance if supply is not None else 0.10

    def at(frequency: float) -> FluxAt:
        value = 1 / (EMF_FACTOR * frequency * turns_per_volt.value * area)
        nominal = Interval(value, value * math.hypot(turns_per_volt.relative, u_log_area))
        return FluxAt(frequency, nominal, nominal.times(1 + tolerance))

    same = None
    if supply is not None and made is not None:
        same = turns_per_volt.times(made.frequency / supply.frequency)
    return Flux(
        area,
        None if made is None else at(made.frequency),
        None if supply is None else at(supply.frequency),
        same,
    )


def usual_turns_per_volt(job: Job, rules: dict[str, Any]) -> Interval | None:
    """What the core's area says before anything is counted: an old unit of usual flux density; a first guess only."""
    area, made = job.core.net_area, job.made_for or job.supply
    if area is None or made is None:
        return None
    usual, u_usual = float(rules["flux"]["usual_T"]), float(rules["flux"]["u_usual_T"])
    value = 1 / (EMF_FACTOR * made.frequency * usual * area)
    return Interval(value, value * math.hypot(u_usual / usual, float(rules["core"]["u_log_area"])))
