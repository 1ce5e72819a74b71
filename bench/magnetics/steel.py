"""Electrical sheet from published curves: field and loss for a flux density, with their spread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from dataclasses import field as default
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "HIGHEST_LOSS_FREQUENCY",
    "KNEE_FIELD_STEP",
    "KNEE_FLUX_STEP",
    "LOSS_FREQUENCY_EXPONENT",
    "LOWEST_LOSS_FREQUENCY",
    "MU_0",
    "WEAK_FIELD_EXPONENT",
    "Steel",
]

MU_0 = 4e-7 * math.pi
"""Magnetic constant [H/m], to the ten digits that matter here."""

LOSS_FREQUENCY_EXPONENT = 1.21
"""Loss at equal flux density goes with f^1.21 between 50 and 60 Hz: M19 29 ga gives 1.22 at 1.0 T (1.0891 to
1.3603 W/kg) and 1.18 at 1.5 T (2.5596 to 3.1747 W/kg) (pyleecan 1.4.2, Material/M19_29Ga.json)."""

LOWEST_LOSS_FREQUENCY = 40.0
HIGHEST_LOSS_FREQUENCY = 70.0
"""Where that exponent is trusted [Hz]: a little beyond the two frequencies that it comes from."""

WEAK_FIELD_EXPONENT = 2.0
"""Loss goes with B^2 below the tables: eddy currents do, and hysteresis lies between the 1.6 of strong and the 3 of
weak fields (Steinmetz, Rayleigh; from memory)."""

KNEE_FLUX_STEP = 1.1
KNEE_FIELD_STEP = 1.5
"""Knee: where a tenth more flux takes half as much field again, as standards for current transformers have it for volts
and exciting current (from memory)."""

_LEAST_READABLE_LOSS = 0.05
_NO_FLUX = 1e-12


@dataclass(frozen=True)
class Steel:
    """A sheet steel as tables.

    flux_density B [T] (n,), field H [A/m] (n,): the geometric mean of the published curves of the family, or of the
    grade's own where it has any; log_spread (n,): standard uncertainty of ln H, such that two of them hold 95 %;
    loss_flux_density [T] (m,), loss [W/kg] (m,) at loss_frequency [Hz]; loss_log_spread: u of ln loss;
    density [kg/m3]; published (k, n): field [A/m] of each curve that the spread comes from, none for a made-up steel;
    centred_on: of how many published curves the field is the mean;
    loss_exponent: loss goes with f to this power, one figure or (m,), from a second table where the sheet has one.
    """

    name: str
    density: float
    flux_density: NDArray[np.float64]
    field: NDArray[np.float64]
    log_spread: NDArray[np.float64]
    loss_flux_density: NDArray[np.float64]
    loss: NDArray[np.float64]
    loss_frequency: float
    loss_log_spread: float
    published: NDArray[np.float64] = default(default_factory=lambda: np.empty((0, 0)))
    centred_on: int = 1
    loss_exponent: NDArray[np.float64] | float = LOSS_FREQUENCY_EXPONENT

    @classmethod
    def from_table(cls, table: dict[str, Any]) -> Steel:
        """A steel from a table as profiles/steels holds them.

        [[field.curve]]: the family, whose scatter s of ln H among n curves is the spread; [[field.own_curve]]: curves
        published for this very grade, if any. The centre is the mean of the m own curves, or of the family; one more
        core scatters about it with s sqrt(1 + 1/m), m = n for the family, and Student's t with n - 1 degrees of freedom
        takes the place of the normal factor (JCGM 100, G.3).
        So the name of a grade moves the centre and does not narrow the band: about the knee, two curves that are
        published for one grade lie as far apart as two of the family (tests/published/test_steel.py).
        [[loss.further]]: the loss at a second frequency, over the first flux densities of the first table.
        """
        family = np.log(np.array([curve["field_A_m"] for curve in table["field"]["curve"]], dtype=float))
        rows = table["field"].get("own_curve")
        own = np.log(np.array([curve["field_A_m"] for curve in rows], dtype=float)) if rows else family
        coverage = _coverage(len(family))
        loss = np.array(table["loss"]["loss_W_kg"], dtype=float)
        # Makers print weak-field losses to one digit: a slope through 0.02 and 0.09 W/kg says nothing.
        readable = loss >= _LEAST_READABLE_LOSS
        return cls(
            name=str(table["name"]),
            density=float(table["density_kg_m3"]),
            flux_density=np.array(table["field"]["flux_density_T"], dtype=float),
            field=np.exp(own.mean(axis=0)),
            log_spread=family.std(axis=0, ddof=1) * math.sqrt(1 + 1 / len(own)) * coverage,
            loss_flux_density=np.array(table["loss"]["flux_density_T"], dtype=float)[readable],
            loss=loss[readable],
            loss_frequency=float(table["loss"]["frequency_Hz"]),
            loss_log_spread=float(table["loss"]["log_spread"]),
            published=np.exp(family),
            centred_on=len(own),
            loss_exponent=_loss_exponent(table["loss"], readable),
        )

    @property
    def knee_flux_density(self) -> float:
        """B [T] from which a tenth more flux takes half as much field again: above it the current runs away.

        That is where ln H rises 4.25 times as fast as ln B, over a step of 10 % (current-transformer standards, from
        memory, for volts and RMS current; here for the peaks in the steel, without joints).
        Raises ValueError for a steel that has no knee within its table.
        """
        return _knee(self.flux_density, self.field)

    @property
    def knee_spread(self) -> float:
        """u of the knee [T], such that two of them hold 95 %: scatter of the published curves' own knees.

        Raises ValueError for a steel with fewer than two published curves.
        """
        count = len(self.published)
        if count < 2:
            raise ValueError(f"{self.name} has {count} published curves, expected 2 or more for a spread")
        knees = [_knee(self.flux_density, curve) for curve in self.published]
        return float(np.std(knees, ddof=1)) * math.sqrt(1 + 1 / self.centred_on) * _coverage(count)

    def field_at(self, flux_density: ArrayLike) -> NDArray[np.float64]:
        """H [A/m] for B [T], any shape, odd in B.

        Between the tabulated points ln H runs straight in ln B; below the first point the permeability is
        constant; above the last one it is that of air, dB/dH = mu0.
        """
        b = np.abs(np.asarray(flux_density, dtype=float))
        logs = np.log(np.maximum(b, self.flux_density[0]))
        inside = np.exp(np.interp(logs, *self._field_logs))
        below = self.field[0] / self.flux_density[0] * b
        above = self.field[-1] + (b - self.flux_density[-1]) / MU_0
        h = np.where(b < self.flux_density[0], below, np.where(b > self.flux_density[-1], above, inside))
        return np.asarray(np.copysign(h, np.asarray(flux_density, dtype=float)))

    def field_log_spread(self, flux_density: ArrayLike) -> NDArray[np.float64]:
        """u of ln H at peak flux densities [T], any shape; the end values hold beyond the table."""
        return np.asarray(np.interp(np.abs(flux_density), self.flux_density, self.log_spread))

    def published_deviations(self, flux_density: ArrayLike) -> NDArray[np.float64]:
        """How far each published curve's ln H lies from their mean (k, n), at peak flux densities [T] (n,).

        Weighed so that their squares add up to that of `field_log_spread`: as causes of doubt they keep what the
        curves of real cores have in common, soft below the knee and hard above it or the other way.  One row of that
        spread where fewer than two curves are known.
        """
        b = np.abs(np.asarray(flux_density, dtype=float))
        if len(self.published) < 2:
            return self.field_log_spread(b)[None, :]
        logs = np.log(self.published)
        away = logs - logs.mean(axis=0)
        size = np.sqrt(np.sum(away**2, axis=0))
        weighed = away * (self.log_spread / np.where(size > 0, size, 1.0))
        return np.array([np.interp(b, self.flux_density, one) for one in weighed])

    def loss_at(self, flux_density: ArrayLike, frequency: float) -> NDArray[np.float64]:
        """Loss [W/kg] at peak flux densities [T], any shape, of a sine of `frequency` [Hz], 40 to 70 Hz.

        ln P runs straight in ln B between the points, with the slope of the last two beyond them, and with the square
        of B below the first; none at no flux.
        Raises ValueError outside.
        """
        lowest, highest = LOWEST_LOSS_FREQUENCY, HIGHEST_LOSS_FREQUENCY
        if not lowest <= frequency <= highest:
            raise ValueError(f"{frequency:g} Hz is outside the loss table, expected {lowest:g} to {highest:g} Hz")
        b = np.asarray(flux_density, dtype=float)
        x, y = self._loss_logs
        at = np.log(np.maximum(b, _NO_FLUX))
        beyond_slope = (y[-1] - y[-2]) / (x[-1] - x[-2])
        logs = np.interp(at, x, y)
        logs += WEAK_FIELD_EXPONENT * np.minimum(0.0, at - x[0]) + beyond_slope * np.maximum(0.0, at - x[-1])
        if isinstance(self.loss_exponent, float):
            exponent: float | NDArray[np.float64] = self.loss_exponent
        else:
            exponent = np.interp(b, self.loss_flux_density, self.loss_exponent)
        return np.where(b > 0, np.exp(logs + exponent * math.log(frequency / self.loss_frequency)), 0.0)

    @cached_property
    def _field_logs(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return np.log(self.flux_density), np.log(self.field)

    @cached_property
    def _loss_logs(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return np.log(self.loss_flux_density), np.log(self.loss)


def _coverage(count: int) -> float:
    """Half of Student's factor for 95 % of `count` curves."""
    from scipy.special import stdtrit  # a quarter of a second, which a command that needs no steel must not wait

    return float(stdtrit(count - 1, 0.975)) / 2.0


def _loss_exponent(loss: dict[str, Any], readable: NDArray[np.bool_]) -> NDArray[np.float64] | float:
    """Power of the frequency with which the loss goes, at each readable flux density of the first table."""
    if "further" not in loss:
        return LOSS_FREQUENCY_EXPONENT
    (further,) = loss["further"]
    first = dict(zip(loss["flux_density_T"], loss["loss_W_kg"], strict=True))
    ratio = [watts / first[b] for b, watts in zip(further["flux_density_T"], further["loss_W_kg"], strict=True)]
    exponent = np.log(ratio) / math.log(further["frequency_Hz"] / loss["frequency_Hz"])
    grid = np.array(loss["flux_density_T"], dtype=float)[readable]
    return np.asarray(np.interp(grid, further["flux_density_T"], exponent))


def _knee(flux_density: NDArray[np.float64], field: NDArray[np.float64]) -> float:
    logs, log_field = np.log(flux_density), np.log(field)

    def excess(log_b: NDArray[np.float64]) -> NDArray[np.float64]:
        there = np.interp(log_b + math.log(KNEE_FLUX_STEP), logs, log_field)
        return np.asarray(there - np.interp(log_b, logs, log_field) - math.log(KNEE_FIELD_STEP))

    grid = np.linspace(logs[0], logs[-1] - math.log(KNEE_FLUX_STEP), 400)
    above = np.flatnonzero(excess(grid) > 0)
    if len(above) == 0 or above[0] == 0:
        raise ValueError(f"the curve has no knee between {flux_density[0]:g} and {flux_density[-1]:g} T")
    from scipy.optimize import brentq  # half a second, which a command that needs no knee must not wait

    return math.exp(float(brentq(excess, grid[above[0] - 1], grid[above[0]])))
