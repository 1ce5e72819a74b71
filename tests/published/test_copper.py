"""Copper and temperature against the international standard and worked examples."""

from __future__ import annotations

import math

import pytest

from bench.magnetics.copper import (
    CONDUCTIVITY_20C,
    DENSITY,
    TEMPERATURE_COEFFICIENT_20C,
    ZERO_RESISTANCE_CELSIUS,
    at_temperature,
    rise_by_resistance,
    wire_mass,
    wire_resistance,
)


def test_conductivity_of_annealed_copper() -> None:
    # IEC 60028:1925: 58.0 MS/m exactly at 20 degC, 0.0172414 ohm mm2/m.
    assert CONDUCTIVITY_20C == 58.0e6
    one_square_millimetre = 2 * math.sqrt(1e-6 / math.pi)
    assert wire_resistance(1.0, one_square_millimetre) == pytest.approx(0.0172414, abs=5e-8)


def test_mass_resistivity() -> None:
    # IEC 60028; copper.org: a wire of 1 m and 1 g has 0.15328 ohm.
    diameter = 2 * math.sqrt(1e-3 / DENSITY / math.pi)
    assert wire_mass(1.0, diameter) == pytest.approx(1e-3)
    assert wire_resistance(1.0, diameter) == pytest.approx(0.15328, abs=1e-5)


def test_temperature_coefficient_and_the_zero_of_the_line() -> None:
    # IEC 60028 (0.00393 /K at 20 degC); EN 61558-1 14.2 uses 234.5 degC, which is 1/0.00393 - 20 to 0.1 K.
    assert TEMPERATURE_COEFFICIENT_20C == 0.00393
    assert pytest.approx(ZERO_RESISTANCE_CELSIUS, abs=0.1) == 1 / TEMPERATURE_COEFFICIENT_20C - 20
    assert at_temperature(1.0, 293.15, 294.15) - 1 == pytest.approx(TEMPERATURE_COEFFICIENT_20C, rel=0.001)


def test_rise_by_resistance() -> None:
    # Kulshreshtha, Basic Electrical Engineering, Ex 2.18 p32: 3.42 ohm at 20 degC, 4.22 ohm hot: 59.6 K with the book's
    # 0.00426, 59.53 K with 234.5.
    assert rise_by_resistance(3.42, 293.15, 4.22, 293.15) == pytest.approx(59.53, abs=0.1)


def test_rise_with_a_drifted_ambient() -> None:
    # B.R. Patil Ex 1.7 p8; J.B. Gupta Ex 2.19 p58: 18 ohm at 20 degC, k = 250, 21 ohm hot, ambient now 15 degC: 50 K.
    assert rise_by_resistance(18.0, 293.15, 21.0, 288.15, zero_resistance_celsius=250.0) == pytest.approx(50.0)


def test_a_temperature_off_the_line_is_refused() -> None:
    with pytest.raises(ValueError, match="expected -60 to 300"):
        at_temperature(1.0, 293.15, 900.0)
