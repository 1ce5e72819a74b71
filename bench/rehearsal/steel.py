"""The rehearsal's own steels: field and loss as plain formulas.

They are deliberately not the tables that the design works with. Their numbers are from memory of what makers of
non-oriented sheet print for these grades, rounded, so that a core that the design expects is like this one, not equal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["DENSITY", "MU0", "Steel", "named_steel"]

Array = NDArray[np.float64]

MU0 = 4e-7 * math.pi
"""Magnetic constant [H/m]."""
DENSITY = 7650.0
"""Of silicon sheet [kg/m3]."""
_SHARPNESS = 0.25
"""Share of the greatest rate of change within which the hysteresis field turns over."""

_WEAK = 0.02
"""Flux density [T] below which hysteresis follows Rayleigh's law rather than Steinmetz'."""


def _turnover_factor() -> float:
    """What the smooth turn-over leaves of the area of a rectangular loop at sine flux."""
    theta = (np.arange(2000) + 0.5) / 2000 * math.pi / 2
    x = np.cos(theta) / _SHARPNESS
    return float(np.mean(x / np.sqrt(1 + x * x) * np.cos(theta)) * math.pi / 2)


_TURNOVER = _turnover_factor()


@dataclass(frozen=True, slots=True)
class Steel:
    """H(B) = knee tanh(B/b) + slope B + bend B^power [A/m], and p = kh f B^(n + m B) + ke (f B)^2 [W/kg]."""

    name: str
    knee: float
    knee_width: float
    slope: float
    bend: float
    power: float
    hysteresis: float
    exponent: float
    exponent_slope: float
    eddy: float

    def field(self, b: Array) -> tuple[Array, Array]:
        """Field H [A/m] at flux density b [T], and dH/dB; beyond full saturation as in air."""
        size = np.abs(b)
        top = self._saturated
        inner = np.minimum(size, top)
        h, slope = self._plain(inner)
        beyond = size > top
        h = np.where(beyond, h + (size - top) / MU0, h)
        return np.sign(b) * h, np.where(beyond, 1 / MU0, slope)

    def loss(self, peak: float, frequency: float) -> float:
        """Loss [W/kg] at sine flux of that peak [T] and frequency [Hz]."""
        return frequency * self._hysteresis_per_cycle(peak) + self.eddy * (frequency * peak) ** 2

    def loss_field(self, rate: Array, peak: float, frequency: float) -> tuple[Array, Array]:
        """Field [A/m] that opposes dB/dt = rate [T/s] in a cycle of that peak [T], and its derivative by the rate.

        Hysteresis: the energy of a cycle depends on its peak alone. Eddy currents: proportional to the rate.
        """
        reference = _SHARPNESS * 2 * math.pi * frequency * max(peak, 1e-9)
        coercive = DENSITY * self._hysteresis_per_cycle(peak) / (4 * max(peak, 1e-9) * _TURNOVER)
        x = rate / reference
        root = np.sqrt(1 + x * x)
        # Mean of (2 pi f B cos)^2 is 2 (pi f B)^2: a sine of flux gives ke (f B)^2.
        viscous = DENSITY * self.eddy / (2 * math.pi**2)
        return coercive * x / root + viscous * rate, coercive / reference / root**3 + viscous

    @property
    def _saturated(self) -> float:
        """Flux density [T] at which the bend gets as steep as air."""
        return float((1 / (MU0 * self.power * self.bend)) ** (1 / (self.power - 1)))

    def _plain(self, b: Array) -> tuple[Array, Array]:
        t = np.tanh(b / self.knee_width)
        bend = self.bend * b ** (self.power - 1)
        h = self.knee * t + self.slope * b + bend * b
        return h, self.knee * (1 - t * t) / self.knee_width + self.slope + self.power * bend

    def _hysteresis_per_cycle(self, peak: float) -> float:
        """Energy [J/kg]; in weak fields it falls one power faster, as Rayleigh's law has it."""
        if peak <= 0:
            return 0.0
        weak = peak / (peak + _WEAK)
        return float(self.hysteresis * weak * peak ** (self.exponent + self.exponent_slope * peak))


# Anchors, from memory: 0.5 T 75 A/m, 1.0 T 115, 1.2 T 190, 1.3 T 320, 1.5 T 1400, 1.6 T 3000; 1.5 and 3.5 W/kg
# at 1.0 and 1.5 T, 50 Hz. The thicker sheet is softer to magnetise above the knee and loses more: 1.9 and 4.4 W/kg.
_STEELS = {
    "m400-50a": Steel("m400-50a", 48.0, 0.11, 60.0, 6.37, 13.0, 0.0195, 1.65, 0.25, 2.1e-4),
    "m530-65a": Steel("m530-65a", 58.0, 0.12, 62.0, 5.24, 13.0, 0.0218, 1.65, 0.20, 3.24e-4),
    "nonoriented-unknown": Steel("nonoriented-unknown", 62.0, 0.12, 66.0, 5.9, 13.0, 0.0240, 1.65, 0.20, 3.6e-4),
}


def named_steel(name: str) -> Steel:
    """The rehearsal's steel under the name that a job gives; a name it has none for is a sheet of unknown grade."""
    return _STEELS.get(name, _STEELS["nonoriented-unknown"])
