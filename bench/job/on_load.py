"""Volts that windings should give into plain resistors, from the copper and the leakage of a design."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bench.job.expectation import Expectation

__all__ = ["copper_at", "resistor_volts"]

_ZERO = 234.5 - 273.15


def copper_at(temperature: float) -> float:
    """Ohms of copper at a temperature [K] over those at 20 degC: a line through -234.5 degC (EN 61558-1, 14.2)."""
    return (temperature + _ZERO) / (293.15 + _ZERO)


def resistor_volts(
    expectation: Expectation, loads: Mapping[str, float], volts: float, copper: float = 1.0
) -> dict[str, float]:
    """RMS volts of each loaded winding, with `loads` [ohm] by winding and `volts` [V] on the primary.

    copper: ohms of the windings over those at 20 degC.  One linear circuit at the frequency of the supply: the EMF of a
    turn, R1 in common, R and leakage reactance of each secondary in its own branch; the exciting current adds the drop
    of its watts.  Good to a fraction of a percent while the leakage reactance is small against the load: the part of it
    that windings share is put into each.  Raises ValueError for a load that is not above 0, or a winding of unknown
    ohms.
    """
    first = expectation.fed_span.resistance
    if first is None or not math.isfinite(first):
        raise ValueError(f"no resistance of {expectation.fed}, expected it for volts on load")
    admittance = {}
    for name, ohms in loads.items():
        own = expectation.spans[name].resistance
        if not ohms > 0 or own is None or not math.isfinite(own):
            raise ValueError(f"{name}: load {ohms:g} ohm on a winding of {own} ohm, expected both above 0 and known")
        a = abs(expectation.ratio(name))
        # The primary's own ohms are common to all branches; what is left of the branch stands in series with its load.
        admittance[name] = a**2 / complex(copper * own + ohms, expectation.leakage_ohms.get(name, 0.0))
    unloaded = volts * (1 - copper * expectation.drop(volts))
    emf = unloaded / (1 + copper * first * sum(admittance.values()))
    return {name: abs(emf * admittance[name]) / abs(expectation.ratio(name)) * ohms for name, ohms in loads.items()}
