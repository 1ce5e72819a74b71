"""Electrical sheet from published curves: field and loss for a flux density, with their spread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.stats import t as student

__all__ = [
    "HIGHEST_LOSS_FREQUENCY",
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

_LEAST_READABLE_LOSS = 0.05


@dataclass(frozen=True)
class Steel:
    """A sheet steel as tables.

    flux_density B [T] (n,), field H [A/m] (n,): the geometric mean of the published curves;
    log_spread (n,): standard uncertainty of ln H for a core of this family, such that two of them hold 95 %;
    loss_flux_density [T] (m,), loss [W/kg] (m,) at loss_frequency [Hz]; loss_log_spread: u of ln loss;
    density [kg/m3].
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

    @classmethod
    def from_table(cls, table: dict[str, Any]) -> Steel:
        """A steel from a table as profiles/steels holds them.

        The spread is that of one more curve drawn from the same family as the published ones: the standard
        deviation s of ln H among n curves gives s sqrt(1 + 1/n), and Student's t with n - 1 degrees of
        freedom takes the place of the normal factor (JCGM 100, G.3).
        """
        logs = np.log(np.array([curve["field_A_m"] for curve in table["field"]["curve"]], dtype=float))
        count = logs.shape[0]
        coverage = student.ppf(0.975, count - 1) / 2.0
        # Makers print weak-field losses to one digit: a slope through 0.02 and 0.09 W/kg says nothing.
        loss = np.array(table["loss"]["loss_W_kg"], dtype=float)
        readable = loss >= _LEAST_READABLE_LOSS
        return cls(
            name=str(table["name"]),
            density=float(table["density_kg_m3"]),
            flux_density=np.array(table["field"]["flux_density_T"], dtype=float),
            field=np.exp(logs.mean(axis=0)),
            log_spread=logs.std(axis=0, ddof=1) * math.sqrt(1 + 1 / count) * coverage,
            loss_flux_density=np.array(table["loss"]["flux_density_T"], dtype=float)[readable],
            loss=loss[readable],
            loss_frequency=float(table["loss"]["frequency_Hz"]),
            loss_log_spread=float(table["loss"]["log_spread"]),
        )

    def field_at(self, flux_density: ArrayLike) -> NDArray[np.float64]:
        """H [A/m] for B [T], any shape, odd in B.

        Between the tabulated points ln H runs straight in ln B; below the first point the permeability is
        constant; above the last one it is that of air, dB/dH = mu0.
        """
        b = np.abs(np.asarray(flux_density, dtype=float))
        logs = np.log(np.maximum(b, self.flux_density[0]))
        inside = np.exp(np.interp(logs, np.log(self.flux_density), np.log(self.field)))
        below = self.field[0] / self.flux_density[0] * b
        above = self.field[-1] + (b - self.flux_density[-1]) / MU_0
        h = np.where(b < self.flux_density[0], below, np.where(b > self.flux_density[-1], above, inside))
        return np.asarray(np.copysign(h, np.asarray(flux_density, dtype=float)))

    def field_log_spread(self, flux_density: float) -> float:
        """u of ln H at a peak flux density [T]; the end values hold beyond the table."""
        return float(np.interp(abs(flux_density), self.flux_density, self.log_spread))

    def loss_at(self, flux_density: float, frequency: float) -> float:
        """Loss [W/kg] at a peak flux density [T] of a sine of `frequency` [Hz], 40 to 70 Hz.

        ln P runs straight in ln B between the points, with the slope of the last two beyond them, and with the square
        of B below the first.
        Raises ValueError outside.
        """
        lowest, highest = LOWEST_LOSS_FREQUENCY, HIGHEST_LOSS_FREQUENCY
        if not lowest <= frequency <= highest:
            raise ValueError(f"{frequency:g} Hz is outside the loss table, expected {lowest:g} to {highest:g} Hz")
        if flux_density <= 0:
            return 0.0
        x, y = np.log(self.loss_flux_density), np.log(self.loss)
        at = math.log(flux_density)
        if at < x[0]:
            value = y[0] + WEAK_FIELD_EXPONENT * (at - x[0])
        elif at > x[-1]:
            value = y[-1] + (at - x[-1]) * (y[-1] - y[-2]) / (x[-1] - x[-2])
        else:
            value = np.interp(at, x, y)
        return math.exp(float(value)) * math.pow(frequency / self.loss_frequency, LOSS_FREQUENCY_EXPONENT)
