"""One cycle of a periodic wave, for the figures by which meters and handbooks know it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["SINE_FORM_FACTOR", "Waveform"]

SINE_FORM_FACTOR = math.pi / (2.0 * math.sqrt(2.0))
"""RMS over mean rectified value of a sine, 1.1107: what an average-responding meter multiplies by; by definition."""


@dataclass(frozen=True)
class Waveform:
    """A wave without a direct part, as `samples` (n,) at equal steps of one whole cycle, in any one unit."""

    samples: NDArray[np.float64]

    @property
    def rms(self) -> float:
        """Root of the mean square."""
        return math.sqrt(float(np.mean(self.samples**2)))

    @property
    def mean(self) -> float:
        """Mean rectified value: the mean of the magnitude."""
        return float(np.mean(np.abs(self.samples)))

    @property
    def peak(self) -> float:
        """Greatest magnitude among the samples."""
        return float(np.max(np.abs(self.samples)))

    @property
    def crest_factor(self) -> float:
        """Peak over RMS: 1.414 for a sine. Raises ValueError for a wave that is nothing."""
        return self.peak / self._something(self.rms)

    @property
    def form_factor(self) -> float:
        """RMS over mean rectified value: 1.111 for a sine. Raises ValueError for a wave that is nothing."""
        return self.rms / self._something(self.mean)

    @property
    def fundamental(self) -> float:
        """RMS of the component of one period a cycle."""
        return float(abs(np.fft.rfft(self.samples)[1])) * math.sqrt(2.0) / len(self.samples)

    @property
    def mean_responding(self) -> float:
        """What a meter shows that takes the mean rectified value and is scaled in RMS of a sine: 1.1107 x mean."""
        return SINE_FORM_FACTOR * self.mean

    @property
    def mean_responding_error(self) -> float:
        """Relative error of that meter, (reading - true) / true RMS: negative on a peaky wave.

        Sign as the International Vocabulary of Metrology has it; some textbooks turn it round.
        Raises ValueError for a wave that is nothing.
        """
        return self.mean_responding / self._something(self.rms) - 1.0

    @staticmethod
    def _something(value: float) -> float:
        if value <= 0.0:
            raise ValueError("a wave that is nothing has no factors")
        return value
