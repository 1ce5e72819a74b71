"""How much the volts of a winding fall with its load, as a fraction whose base is said."""

from __future__ import annotations

import math
from enum import Enum

__all__ = ["Base", "on_load_regulation", "regulation"]


class Base(Enum):
    """What a fall of volts is a fraction of: the volts without load, or those on load. Textbooks and makers differ."""

    NO_LOAD = "no load"
    ON_LOAD = "on load"


def regulation(no_load_voltage: float, on_load_voltage: float, base: Base) -> float:
    """(V0 - V) / V0 or (V0 - V) / V, for RMS or direct volts; a rise is negative.

    10 V on load and 11 V without are 10 % on the one base and 9.1 % on the other.  Raises ValueError for volts that
    aren't positive.  Source: V0 as base, Bird, Electrical Circuit Theory and Technology, ch. 20; V as base, Fitzgerald,
    Electric Machinery, ch. 2.
    """
    if not (no_load_voltage > 0 and on_load_voltage > 0):
        raise ValueError(f"{no_load_voltage:g} V without and {on_load_voltage:g} V on load, expected more than 0")
    below = no_load_voltage if base is Base.NO_LOAD else on_load_voltage
    return (no_load_voltage - on_load_voltage) / below


def on_load_regulation(resistance: float, reactance: float, power_factor: float = 1.0, *, load: float = 1.0) -> float:
    """Regulation on the base of the volts on load, for sine currents, exactly.

    resistance r and reactance x of both windings per unit of rated volts over rated amps, >= 0;  load: amps over rated
    amps, >= 0;  power factor of the load, 0 to 1, lagging, or negative for a leading one.
    |1 + k (r + jx)(cos - j sin)| - 1.  Raises ValueError.  Source: the phasor diagram, any textbook.
    """
    if min(resistance, reactance, load) < 0:
        raise ValueError(f"r {resistance:g}, x {reactance:g}, load {load:g}, expected none of them negative")
    if not 0 < abs(power_factor) <= 1:
        raise ValueError(f"power factor is {power_factor:g}, expected up to 1, and not 0")
    lag = math.copysign(math.acos(abs(power_factor)), power_factor)
    return abs(1 + load * complex(resistance, reactance) * complex(math.cos(lag), -math.sin(lag))) - 1
