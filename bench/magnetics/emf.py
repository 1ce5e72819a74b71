"""The EMF equation and what follows from it: turns, flux density, turns per volt."""

from __future__ import annotations

import math

__all__ = [
    "EMF_FACTOR",
    "core_area",
    "emf",
    "flux_density",
    "peak_flux",
    "turns",
    "turns_per_volt",
    "volts_per_turn",
]

EMF_FACTOR = math.pi * math.sqrt(2.0)
"""RMS volts per (hertz x turn x weber of peak flux), for a sine: 4.442883, by definition; handbooks round to 4.44."""


def emf(frequency: float, turns: float, flux_density: float, area: float) -> float:
    """RMS EMF E [V] of N turns round a core: E = 4.4429 f N B A.

    frequency f [Hz] > 0, turns N >= 0, flux_density B [T] peak, area A [m2] net steel section.
    Raises ValueError outside.  Source: the transformer EMF equation, any textbook.
    """
    _positive(frequency=frequency, area=area)
    if turns < 0 or flux_density < 0:
        raise ValueError("turns and flux density must not be negative")
    return EMF_FACTOR * frequency * turns * flux_density * area


def turns(voltage: float, frequency: float, flux_density: float, area: float) -> float:
    """Turns N, unrounded, that take `voltage` [V rms] at a peak flux density [T]. Raises ValueError."""
    _positive(voltage=voltage, frequency=frequency, flux_density=flux_density, area=area)
    return voltage / (EMF_FACTOR * frequency * flux_density * area)


def flux_density(voltage: float, frequency: float, turns: float, area: float) -> float:
    """Peak flux density B [T] from RMS volts on N turns. Raises ValueError."""
    _positive(frequency=frequency, turns=turns, area=area)
    if voltage < 0:
        raise ValueError("voltage must not be negative")
    return voltage / (EMF_FACTOR * frequency * turns * area)


def peak_flux(voltage: float, frequency: float, turns: float) -> float:
    """Peak flux [Wb] from RMS volts on N turns. Raises ValueError."""
    _positive(frequency=frequency, turns=turns)
    return voltage / (EMF_FACTOR * frequency * turns)


def core_area(volts_per_turn: float, frequency: float, flux_density: float) -> float:
    """Net steel section A [m2] that gives `volts_per_turn` [V rms] at a peak flux density [T]."""
    _positive(volts_per_turn=volts_per_turn, frequency=frequency, flux_density=flux_density)
    return volts_per_turn / (EMF_FACTOR * frequency * flux_density)


def volts_per_turn(frequency: float, flux_density: float, area: float) -> float:
    """RMS volts of one turn."""
    return emf(frequency, 1.0, flux_density, area)


def turns_per_volt(turns: float, voltage: float) -> float:
    """Counted turns over the volts that they gave, unloaded. Raises ValueError."""
    _positive(turns=turns, voltage=voltage)
    return turns / voltage


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name.replace('_', ' ')} is {value:g}, expected more than 0")
