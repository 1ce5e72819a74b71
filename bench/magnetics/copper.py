"""Copper: resistance of a wire, what temperature does to it, and temperature from resistance."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = [
    "CONDUCTIVITY_20C",
    "DENSITY",
    "TEMPERATURE_COEFFICIENT_20C",
    "WIRE_CONDUCTIVITIES_20C",
    "ZERO_RESISTANCE_CELSIUS",
    "ResistanceLimits",
    "at_temperature",
    "resistance_per_metre_limits",
    "rise_by_resistance",
    "wire_mass",
    "wire_resistance",
]

CONDUCTIVITY_20C = 58.0e6
"""Conductivity of annealed copper at 20 degC [S/m]; 1/58 ohm mm2/m.  IEC 60028:1925 (IACS)."""

WIRE_CONDUCTIVITIES_20C = (58.0e6, 58.5e6, 59.0e6)
"""Lowest, nominal and highest conductivity [S/m] of the copper in winding wire.

From memory of the annex of IEC 60317-0-1: check your copy of the standard. Its nominal copper is 0.86 % better than
CONDUCTIVITY_20C, which American wire tables and the estimates here use: a winding made of it reads 0.85 % low.
"""

DENSITY = 8890.0
"""Density of copper at 20 degC [kg/m3].  IEC 60028:1925."""

TEMPERATURE_COEFFICIENT_20C = 0.00393
"""Change of resistance per kelvin, as a fraction of that at 20 degC.  IEC 60028:1925."""

ZERO_RESISTANCE_CELSIUS = 234.5
"""Inferred: the resistance of copper falls on a line to zero at -234.5 degC.  EN 61558-1 clause 14.2."""

_KELVIN = 273.15


@dataclass(frozen=True)
class ResistanceLimits:
    """Resistance of new winding wire at 20 degC [ohm/m]: least, nominal, most."""

    minimum: float
    nominal: float
    maximum: float


def wire_resistance(length: float, diameter: float, strands: int = 1, conductivity: float = CONDUCTIVITY_20C) -> float:
    """R [ohm] at 20 degC of `strands` round copper wires in parallel, length [m], bare diameter d [m].

    R = length / (conductivity x pi/4 d2 x strands), conductivity [S/m].  Raises ValueError.  Source: IEC 60028.
    """
    if not (length > 0 and diameter > 0 and strands >= 1 and conductivity > 0):
        raise ValueError("length, diameter, strands and conductivity must be more than 0")
    return length / (conductivity * math.pi / 4 * diameter**2 * strands)


def resistance_per_metre_limits(diameter: float, tolerance: float) -> ResistanceLimits:
    """Ohms per metre at 20 degC between which new wire of bare diameter d [m], made to d +- tolerance [m], must lie.

    Minimum 1 / (59e6 x pi/4 (d + tolerance)2), nominal 1 / (58.5e6 x pi/4 d2), maximum
    1 / (58e6 x pi/4 (d - tolerance)2); d > 0.063 mm, 0 <= tolerance < d.  Raises ValueError.  Source: annex of
    IEC 60317-0-1, from memory; for thinner wire it gives the ohms themselves.
    """
    if not diameter > 0.063e-3:
        raise ValueError(
            f"{diameter * 1e3:.6g} mm: its resistance does not follow its diameter, expected over 0.063 mm"
        )
    if not 0 <= tolerance < diameter:
        raise ValueError(
            f"tolerance {tolerance * 1e3:.6g} mm, expected 0 to below the {diameter * 1e3:.6g} mm of the wire"
        )
    lowest, nominal, highest = WIRE_CONDUCTIVITIES_20C
    quarter = math.pi / 4
    return ResistanceLimits(
        minimum=1 / (highest * quarter * (diameter + tolerance) ** 2),
        nominal=1 / (nominal * quarter * diameter**2),
        maximum=1 / (lowest * quarter * (diameter - tolerance) ** 2),
    )


def wire_mass(length: float, diameter: float, strands: int = 1) -> float:
    """Mass [kg] of bare copper."""
    if not (length > 0 and diameter > 0 and strands >= 1):
        raise ValueError("length, diameter and strands must be more than 0")
    return DENSITY * length * math.pi / 4 * diameter**2 * strands


def at_temperature(resistance: float, temperature: float, new_temperature: float) -> float:
    """R2 [ohm] at `new_temperature` [K] of a copper winding that has R1 at `temperature` [K].

    R2 = R1 (234.5 + t2) / (234.5 + t1), t in degC, -60 to 300 degC.  Source: EN 61558-1 clause 14.2.
    """
    before = ZERO_RESISTANCE_CELSIUS + temperature - _KELVIN
    after = ZERO_RESISTANCE_CELSIUS + new_temperature - _KELVIN
    for kelvin in (temperature, new_temperature):
        if not 213.15 <= kelvin <= 573.15:
            raise ValueError(f"{kelvin - _KELVIN:.1f} degC is outside the line of copper, expected -60 to 300 degC")
    return resistance * after / before


def rise_by_resistance(
    cold_resistance: float,
    cold_temperature: float,
    hot_resistance: float,
    ambient: float,
    zero_resistance_celsius: float = ZERO_RESISTANCE_CELSIUS,
) -> float:
    """Rise [K] of a winding over the ambient at the end of the run.

    dT = (R2 - R1)/R1 (x + t1) - (t2 - t1): R1 [ohm] cold at t1, R2 [ohm] hot, t2 the ambient then; both
    temperatures in K.  Raises ValueError.  Source: EN 61558-1 clause 14.2, x = 234.5 for copper.
    """
    if not (cold_resistance > 0 and hot_resistance > 0):
        raise ValueError("resistances must be more than 0")
    relative = (hot_resistance - cold_resistance) / cold_resistance
    return relative * (zero_resistance_celsius + cold_temperature - _KELVIN) - (ambient - cold_temperature)
