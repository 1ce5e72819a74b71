"""The parts of a transformer's equivalent circuit, from winding data or from an open- and a short-circuit reading."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["NoLoadCurrent", "equivalent_impedance", "no_load_current", "short_circuit_impedance", "similar_resistance"]


@dataclass(frozen=True)
class NoLoadCurrent:
    """A current without load as two that add up at right angles [A rms]; power factor; core loss [W], copper off."""

    working: float
    magnetising: float
    power_factor: float
    core_loss: float


def no_load_current(voltage: float, current: float, power: float, resistance: float = 0.0) -> NoLoadCurrent:
    """What volts V, amps I and watts P [rms] at no load say of the exciting current.

    Iw = P / V, Im = sqrt(I^2 - Iw^2), core loss = P - I^2 R, resistance R [ohm] of the fed winding.  Im holds the
    harmonics of the current too.
    Raises ValueError for values that aren't positive, or more watts than volt-amperes.  Source: any textbook; checked
    against published tests.
    """
    _positive(voltage=voltage, current=current)
    _not_negative(power=power, resistance=resistance)
    working = power / voltage
    if working > current:
        raise ValueError(f"{power:g} W are more than the {voltage * current:g} VA of {voltage:g} V and {current:g} A")
    return NoLoadCurrent(
        working=working,
        magnetising=math.sqrt(current**2 - working**2),
        power_factor=working / current,
        core_loss=power - current**2 * resistance,
    )


def short_circuit_impedance(voltage: float, current: float, power: float) -> complex:
    """R + jX [ohm] of both windings, seen from the one that is fed V, I and P [rms] with the other one shorted.

    R = P / I^2, |Z| = V / I.  Raises ValueError as `no_load_current`.  Source: any textbook.
    """
    _positive(voltage=voltage, current=current, power=power)
    resistance, impedance = power / current**2, voltage / current
    if resistance > impedance:
        raise ValueError(f"{power:g} W are more than the {voltage * current:g} VA of {voltage:g} V and {current:g} A")
    return complex(resistance, math.sqrt(impedance**2 - resistance**2))


def equivalent_impedance(primary: complex, secondary: complex, primary_turns: float, secondary_turns: float) -> complex:
    """R + jX [ohm] of both windings, referred to the primary: Z1 + Z2 (N1 / N2)^2.  Raises ValueError."""
    _positive(primary_turns=primary_turns, secondary_turns=secondary_turns)
    return primary + secondary * (primary_turns / secondary_turns) ** 2


def similar_resistance(
    resistance: float, turns_ratio: float, mean_turn_ratio: float = 1.0, current_density_ratio: float = 1.0
) -> float:
    """R2 [ohm] of a winding that shares a core with one of R1 and carries the same volt-amperes.

    R2 = R1 (N2/N1)^2 (mean turn 2 / mean turn 1) (J2 / J1), J current density: wire area goes with N1/N2 x J1/J2.
    Raises ValueError.  Source: R = rho N Lmt / area, any textbook.
    """
    _positive(
        resistance=resistance,
        turns_ratio=turns_ratio,
        mean_turn_ratio=mean_turn_ratio,
        current_density_ratio=current_density_ratio,
    )
    return resistance * turns_ratio**2 * mean_turn_ratio * current_density_ratio


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name.replace('_', ' ')} is {value:g}, expected more than 0")


def _not_negative(**values: float) -> None:
    for name, value in values.items():
        if not value >= 0:
            raise ValueError(f"{name.replace('_', ' ')} is {value:g}, expected 0 or more")
