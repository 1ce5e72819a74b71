"""How well a hypothesis explains all readings together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from bench.diagnosis.evidence import Evidence, Kind, Observed
from bench.diagnosis.prediction import Predicted

__all__ = ["IMPOSSIBLE", "Fit", "anything_of", "fits_of"]

Array = NDArray[np.float64]

IMPOSSIBLE = -9.0
"""ln of how often a reading is written down that can't be; about once in ten thousand (common practice, no source)."""

# A reading that was taken wrongly may be anything: standard deviation of its logarithm, or of turns over turns.
_ANYTHING = 0.7
_ANYTHING_BY = {Kind.SERIES: 20.0, Kind.SCREEN: 1.0}
# Share of readings that are off in a unit that none of the known faults explains.
_OFTEN_OFF = 0.25
_MOST_OFF = 12


@dataclass(frozen=True)
class Fit:
    """The readings against what one hypothesis foretells, in the Gaussian of instruments and unit together."""

    evidence: Evidence
    predicted: Predicted

    @cached_property
    def log_density(self) -> float:
        """ln of the density of the readings, less n/2 ln 2 pi, which all hypotheses share."""
        return -0.5 * self.misfit - 0.5 * self._log_determinant + (IMPOSSIBLE * self.predicted.impossible)

    @cached_property
    def misfit(self) -> float:
        """Chi squared of the readings: about as many as there are, where the hypothesis holds."""
        return float(self._white @ self._white)

    @cached_property
    def residuals(self) -> Array:
        return self.evidence.values - self.predicted.values

    def slope(self, pattern: Array) -> tuple[float, float]:
        """How much the readings pull along a pattern (n,), and how much they know of it: their quotient is its size."""
        spread = self._inverse @ pattern
        return float(spread @ self.residuals), float(spread @ pattern)

    def with_one_off(self, pattern: Array) -> float:
        """The same where one reading, or several alike, are off by anything: pattern (n,), its standard deviation."""
        spread = self._inverse @ pattern
        freed = 1 + float(pattern @ spread)
        pulled = float(spread @ self.residuals)
        return self.log_density + 0.5 * pulled**2 / freed - 0.5 * math.log(freed)

    def with_several_off(self) -> tuple[float, int]:
        """The best of all readings taken away one by one, each at its price, and how many: nothing known fits them."""
        inverse, residuals = self._inverse.copy(), self.residuals
        score = self.log_density
        best, count = -math.inf, 0
        price = math.log(_OFTEN_OFF / (1 - _OFTEN_OFF))
        anything = anything_of(self.evidence)
        for taken in range(1, min(_MOST_OFF, len(residuals)) + 1):
            pulls = inverse @ residuals
            freed = 1 + anything**2 * np.diag(inverse)
            gains = 0.5 * (anything * pulls) ** 2 / freed - 0.5 * np.log(freed)
            row = int(np.argmax(gains))
            score += float(gains[row]) + price
            column = inverse[:, row] * anything[row]
            inverse = inverse - np.outer(column, column) / freed[row]
            if taken > 1 and score > best:
                best, count = score, taken
        return best, count

    @cached_property
    def _root(self) -> Array:
        """L of the covariance L L'."""
        return np.asarray(np.linalg.cholesky(self.evidence.covariance + self.predicted.covariance), dtype=np.float64)

    @cached_property
    def _white(self) -> Array:
        """Residuals without what they share, each in units of its own doubt."""
        return np.asarray(np.linalg.solve(self._root, self.residuals), dtype=np.float64)

    @cached_property
    def _inverse(self) -> Array:
        return np.asarray(np.linalg.inv(self.evidence.covariance + self.predicted.covariance), dtype=np.float64)

    @cached_property
    def _log_determinant(self) -> float:
        return 2 * float(np.log(np.diag(self._root)).sum())


def fits_of(evidence: Evidence, predicted: Sequence[Predicted]) -> list[Fit]:
    """The same as a `Fit` of each: so many small matrices cost less in one call than in one for each."""
    fits = [Fit(evidence, one) for one in predicted]
    if fits and len(evidence):
        roots = np.linalg.cholesky(evidence.covariance + np.stack([one.covariance for one in predicted]))
        residuals = evidence.values - np.stack([one.values for one in predicted])
        whites = np.linalg.solve(roots, residuals[..., None])[..., 0]
        for fit, root, white in zip(fits, roots, whites, strict=True):
            vars(fit).update(_root=root, _white=white)
    return fits


def anything_of(evidence: Evidence) -> Array:
    """(n,): standard deviation of each reading where it was taken wrongly."""
    return np.array([_anything(one) for one in evidence.observed])


def _anything(one: Observed) -> float:
    """Ohms on another range, or through a poor clip, may be many times those of the winding."""
    return max(1.0, one.value) if one.kind is Kind.OHMS else _ANYTHING_BY.get(one.kind, _ANYTHING)
