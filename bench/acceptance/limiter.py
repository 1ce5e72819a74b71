"""What a lamp or a resistor in series leaves of the volts, for a unit that takes what its design says."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.job.expectation import ExcitingCurve

__all__ = ["Limiter"]

_LAMP_EXPONENT = 1.75
"""Volts over a filament lamp go with the current to the power 1.75, its resistance rising as it warms (memory)."""
_COLD_SHARE = 1 / 15
"""Resistance of a cold filament over that of a hot one (published measurement: 9.5 of 144 ohm, 100 W, 120 V)."""


@dataclass(frozen=True)
class Limiter:
    """A filament lamp by its power [W] and volts [V], or a resistor [ohm], with its name in words."""

    words: str = "a 60 W lamp in series (a filament lamp; LED lamps are no limiter)"
    watts: float = 60.0
    volts: float = 230.0
    ohms: float | None = None

    def drop(self, current: float) -> float:
        """Volts over the limiter at a current [A rms]."""
        if self.ohms is not None:
            return current * self.ohms
        rated = self.watts / self.volts
        cold = _COLD_SHARE * self.volts / rated
        return max(cold * current, self.volts * math.pow(current / rated, _LAMP_EXPONENT))

    def share_left(self, curve: ExcitingCurve, supply: float, spreads: float) -> float:
        """Fraction of the supply's volts that a good unit keeps.

        spreads: how many standard uncertainties of its logarithm the current lies above the design's.  The drop is
        taken in phase with the winding's volts, where most of it is not: the share is a lower bound.
        """
        low, high = 0.0, supply
        for _ in range(60):
            middle = (low + high) / 2
            current = curve.current_at(middle) * math.exp(spreads * curve.u_log_current_at(middle))
            if middle + self.drop(current) > supply:
                high = middle
            else:
                low = middle
        return low / supply
