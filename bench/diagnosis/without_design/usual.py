"""What is usual of a small mains transformer of some power: open volts over those of its plate, and ohms."""

from __future__ import annotations

import math

import numpy as np

from bench.job.profiles import load_table

__all__ = ["fed_ohms_by_power", "ratio_by_plate"]

# Where nobody knows the power: from the largest to the smallest unit of a bench; common practice, no source.
_RISE_OF_ANY = (0.03, 0.30)
# Of the rise, the part of the fed winding, which all windings share, and that of each of its own: about halves of the
# variance; common practice, no source.
_SHARED = math.sqrt(0.5)
# A plate's digits, and whole turns; common practice, no source.
_U_PLATE = 0.01
_U_LOG_OHMS = 0.5


def ratio_by_plate(power: float | None, rated_at: str) -> tuple[float, float, float]:
    """Factor from rated volts to open ones, u of its logarithm of each winding, and u that all have in common.

    power [VA], None where it is not known.  Rated volts hold under load, so that open ones are higher by the
    regulation.  Source: profiles/limits/survey.toml [nameplate], from memory.
    """
    if rated_at == "no load":
        return 1.0, _U_PLATE, 0.0
    low, high = _rise(power)
    # The range is taken for two standard uncertainties either way of its middle, in logarithms.
    middle = 0.5 * (math.log1p(low) + math.log1p(high))
    spread = 0.25 * (math.log1p(high) - math.log1p(low))
    spread = max(spread, 0.01)
    return math.exp(middle), math.hypot(_SHARED * spread, _U_PLATE), _SHARED * spread


def fed_ohms_by_power(power: float, volts: float) -> tuple[float, float]:
    """Ohms that the winding for `volts` [V] of a unit of so many VA may have, and u of their logarithm.

    Half of the regulation is in the fed winding: R = rise/2 V^2/S.  Common practice, no source.
    """
    low, high = _rise(power)
    return 0.25 * (low + high) * volts**2 / power, _U_LOG_OHMS


def _rise(power: float | None) -> tuple[float, float]:
    if power is None:
        return _RISE_OF_ANY
    table = load_table("limits", "survey")["nameplate"]
    return (
        float(np.interp(power, table["power_VA"], table["rise_low"])),
        float(np.interp(power, table["power_VA"], table["rise_high"])),
    )
