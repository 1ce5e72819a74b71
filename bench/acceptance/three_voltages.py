"""Watts that a core takes, from the volts on its winding, across a known resistor in series, and across both."""

from __future__ import annotations

import math

from bench.acceptance.context import Context
from bench.estimate import Estimate

__all__ = ["core_power"]

# What the supply may drift between the three readings, one after another, standard uncertainty as a fraction of the
# volts across both; common practice, no source.
_DRIFT = 0.0005


def core_power(context: Context, resistor: float, winding: Estimate, across: Estimate, both: Estimate) -> Estimate:
    """P = (Vs^2 - Vr^2 - V^2) / 2R [W], exact for any wave with true RMS readings; less the winding's own I2R.

    resistor [ohm];  winding, across, both [V]: on the winding, across the resistor, across the two in series.
    """
    ohms = Estimate(resistor, {"series resistor": resistor * context.equipment.series_tolerance / 3**0.5})
    current = across / ohms
    power = (both * both - across * across - winding * winding) / (2.0 * ohms)
    known = context.expectation.fed_span.resistance
    copper = known if known is not None and math.isfinite(known) else 0.0
    core = power - current * current * copper
    return core.also("supply drift", _DRIFT * 2 * both.value**2 / (2 * resistor))
