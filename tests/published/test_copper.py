"""Copper against the international standard and worked examples; the source stands beside each.

Published checks, numbered by us.
"""

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
    # 3.1: IEC 60028:1925: 58.0 MS/m exactly at 20 degC (68 degF), 0.0172414 ohm mm2/m. copper.org prints the
    # temperature of this standard as "200 C (392 F)": a slip, as its own resistivity shows.
    assert CONDUCTIVITY_20C == 58.0e6
    one_square_millimetre = 2 * math.sqrt(1e-6 / math.pi)
    assert wire_resistance(1.0, one_square_millimetre) == pytest.approx(0.0172414, abs=5e-8)


def test_mass_resistivity() -> None:
    # 3.2: IEC 60028; copper.org: a wire of 1 m and 1 g has 0.15328 ohm (8.89 / 58 = 0.153276).
    diameter = 2 * math.sqrt(1e-3 / DENSITY / math.pi)
    assert wire_mass(1.0, diameter) == pytest.approx(1e-3)
    assert wire_resistance(1.0, diameter) == pytest.approx(0.15328, abs=1e-5)


def test_temperature_coefficient() -> None:
    # 3.3: IEC 60028 (as quoted from IEC of 1913; Industrial Power Engineering and Applications Handbook p970):
    # 0.00393 of the resistance at 20 degC for each kelvin.
    assert TEMPERATURE_COEFFICIENT_20C == 0.00393
    assert at_temperature(1.0, 293.15, 294.15) - 1 == pytest.approx(TEMPERATURE_COEFFICIENT_20C, rel=0.001)


def test_the_zero_of_the_line() -> None:
    # 3.4: 1/0.00393 - 20 = 234.45; EN 61558-1 14.2 uses 234.5 (tauscher.com/html/tempspecial.html).
    assert pytest.approx(ZERO_RESISTANCE_CELSIUS, abs=0.1) == 1 / TEMPERATURE_COEFFICIENT_20C - 20


def test_resistance_at_the_reference_temperature_of_losses() -> None:
    # 3.7 (copper; from memory): R75/R20 = 309.5 / 254.5.
    assert at_temperature(1.0, 293.15, 348.15) == pytest.approx(1.21611, abs=1e-5)


# Books have other constants of copper than the standard's 234.5: 0.00426 (1/x at 0 degC, x = 234.74), 0.00428 (233.64)
# and a round 0.004 (250). Between the first three 60 K differ by 0.06 K; the last makes the rise 6 % larger. So each
# row is checked with its book's own constant, and stands beside what ours gives.
@pytest.mark.parametrize(
    ("constant", "rise"), [(1 / 0.00426, 59.59), (1 / 0.00428, 59.33), (250.0, 63.16), (ZERO_RESISTANCE_CELSIUS, 59.53)]
)
def test_rise_by_resistance(constant: float, rise: float) -> None:
    # 4.1: D.C. Kulshreshtha, Basic Electrical Engineering, Ex 2.18 p32: 3.42 ohm at 20 degC, 4.22 ohm hot: 59.6 K.
    assert rise_by_resistance(3.42, 293.15, 4.22, 293.15, constant) == pytest.approx(rise, abs=0.01)


def test_rise_with_a_drifted_ambient() -> None:
    # 4.2: B.R. Patil, Basic Electrical and Electronics Engineering, Ex 1.7 p8; J.B. Gupta Ex 2.19 p58: 18 ohm at 20 and
    # 20 ohm at 50 degC, so x = 250; 21 ohm hot, ambient now 15 degC: winding at 65 degC (the notebook of Patil labels
    # that "temperature coefficient"), rise 50 K.
    constant = (50.0 * 18.0 - 20.0 * 20.0) / (20.0 - 18.0)
    assert constant == 250.0
    rise = rise_by_resistance(18.0, 293.15, 21.0, 288.15, zero_resistance_celsius=constant)
    assert rise == pytest.approx(50.0)
    assert rise + 15.0 == pytest.approx(65.0)


@pytest.mark.parametrize(("constant", "celsius"), [(1 / 0.00426, 84.62), (ZERO_RESISTANCE_CELSIUS, 84.55)])
def test_winding_temperature_from_two_currents(constant: float, celsius: float) -> None:
    # 4.4: T.K. Nagsarkar & M.S. Sukhija, Basic Electrical Engineering, Ex 1.11: 250 V, 5 A at 15 degC, 3.91 A hot:
    # 84.62 degC with 0.00426.
    rise = rise_by_resistance(250 / 5, 288.15, 250 / 3.91, 288.15, constant)
    assert 15.0 + rise == pytest.approx(celsius, abs=0.01)


def test_hot_resistance() -> None:
    # 4.5: C.R. Robertson, Fundamental Electrical and Electronic Principles, Ex 1.18 p23: 250 ohm at 15 degC, 0.00428:
    # 280.16 ohm at 45 degC. With 234.5 the same winding has 0.1 ohm less.
    assert rise_by_resistance(250.0, 288.15, 280.16, 288.15, 1 / 0.00428) == pytest.approx(30.0, abs=0.01)
    assert at_temperature(250.0, 288.15, 318.15) == pytest.approx(280.16, abs=0.11)


def test_rise_formula_of_the_small_transformer_standard() -> None:
    # 4.11: EN 61558-1 14.2 (tauscher.com/html/tempspecial.html): (R2 - R1)/R1 (x + t1) - (t2 - t1), x = 234.5: with
    # 10 ohm at 20 degC, 12 ohm hot and the air then at 25 degC, 0.2 x 254.5 - 5.
    assert rise_by_resistance(10.0, 293.15, 12.0, 298.15) == pytest.approx(45.9, abs=1e-9)


def test_a_temperature_off_the_line_is_refused() -> None:
    with pytest.raises(ValueError, match="expected -60 to 300"):
        at_temperature(1.0, 293.15, 900.0)
