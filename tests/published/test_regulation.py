"""Equivalent circuit, regulation and efficiency against published worked examples; the source stands beside each row.

The numbers in front of the rows are those of the published checks, numbered by us.
"""

from __future__ import annotations

import cmath
import math

import pytest

from bench.magnetics.efficiency import best_load, efficiency
from bench.magnetics.equivalent_circuit import (
    equivalent_impedance,
    no_load_current,
    short_circuit_impedance,
    similar_resistance,
)
from bench.magnetics.regulation import Base, on_load_regulation, regulation


def test_10_4_resistance_of_a_winding_from_another() -> None:
    # 10.4: A.K. Sawhney, A Course in Electrical Machine Design, Ex 5.12 p5.89: 8 ohm, 10:1, 2.2 and 2.1 A/mm2,
    # mean turns 1.1:1.
    assert similar_resistance(8.0, 1 / 10, 1 / 1.1, 2.1 / 2.2) == pytest.approx(0.0694, rel=0.002)


def test_10_8_small_transformer_at_no_load() -> None:
    # 10.8: B.L. & A.K. Theraja, A Textbook of Electrical Technology vol. II, Ex 32.27 p1046: 220 V, 0.5 A, 30 W,
    # 0.6 ohm. The book takes Iw from all 30 W, the copper's 0.15 W included.
    found = no_load_current(220.0, 0.5, 30.0, 0.6)
    assert found.magnetising == pytest.approx(0.4810, abs=5e-5)
    assert found.working == pytest.approx(0.1364, abs=5e-5)
    assert found.core_loss == pytest.approx(29.85, abs=5e-3)


@pytest.mark.parametrize(
    ("voltage", "current", "power", "working", "magnetising", "power_factor", "within"),
    [
        # J.O. Bird, Electrical Circuit Theory and Technology, ch. 20, Ex 7 p320: 240 V, 0.8 A, 72 W.
        pytest.param(240.0, 0.8, 72.0, 0.30, 0.74, 0.375, 0.01, id="10.9"),
        # D.C. Kulshreshtha, Basic Electrical Engineering, Ex 13.7: 230 V, 350 VA, 110 W.
        pytest.param(230.0, 350 / 230, 110.0, 0.4783, 1.4446, 0.3143, 1e-4, id="10.10"),
        # A.E. Fitzgerald, Electric Machinery, Ex 2.1 p63: 194 V, 20 VA, 16 W; 0.06 A is printed to one figure.
        pytest.param(194.0, 20 / 194, 16.0, 0.082, 0.06, 0.8, 0.04, id="10.11"),
    ],
)
def test_exciting_current_split(
    voltage: float, current: float, power: float, working: float, magnetising: float, power_factor: float, within: float
) -> None:
    found = no_load_current(voltage, current, power)
    assert found.working == pytest.approx(working, rel=within)
    assert found.magnetising == pytest.approx(magnetising, rel=within)
    assert found.power_factor == pytest.approx(power_factor, rel=within)


def test_10_11_in_figures_of_the_book() -> None:
    # 10.11: Fitzgerald prints 0.082 and 0.06 A: to two and one figures the split gives the same.
    found = no_load_current(194.0, 20 / 194, 16.0)
    assert (round(found.working, 3), round(found.magnetising, 2)) == (0.082, 0.06)


def test_10_12_regulation_and_efficiency_from_two_tests() -> None:
    # 10.12: Fitzgerald Ex 2.6 p80: 50 kVA, 2400:240 V, short circuit 48 V 20.8 A 617 W, open circuit 186 W,
    # power factor 0.8 lagging.
    impedance = short_circuit_impedance(48.0, 20.8, 617.0)
    assert impedance.real == pytest.approx(1.42, abs=0.01)
    assert impedance.imag == pytest.approx(1.82, abs=0.01)
    assert efficiency(50e3 * 0.8, 617.0, 186.0) == pytest.approx(0.980, abs=5e-4)
    per_unit = impedance / (2400.0**2 / 50e3)
    # Fitzgerald divides by the volts on load; on the volts without load, as Bird has it, the same fall is 1.90 %.
    assert on_load_regulation(per_unit.real, per_unit.imag, 0.8) == pytest.approx(0.0194, abs=5e-5)
    without_load = 2400 * (1 + on_load_regulation(per_unit.real, per_unit.imag, 0.8))
    assert regulation(without_load, 2400.0, Base.ON_LOAD) == pytest.approx(0.0194, abs=5e-5)
    assert regulation(without_load, 2400.0, Base.NO_LOAD) == pytest.approx(0.0190, abs=5e-5)


def test_10_14_overload_at_unity_power_factor() -> None:
    # 10.14: A.S. Langsdorf, Theory of Alternating Current Machinery, p31: r = 0.017, x = 0.0247, 25 % overload.
    assert on_load_regulation(0.017, 0.0247, load=1.25) == pytest.approx(0.0217, abs=1e-4)


def test_10_15_regulation_by_definition() -> None:
    # 10.15: Bird ch. 20 Ex 14 p329: 400 V without load, 387.6 V with it; Bird's base is the volts without load.
    assert regulation(400.0, 387.6, Base.NO_LOAD) == pytest.approx(0.031, abs=1e-12)
    assert regulation(400.0, 387.6, Base.ON_LOAD) == pytest.approx(0.03199, abs=5e-6)


def test_10_16_equivalent_impedance() -> None:
    # 10.16: Bird ch. 20 Ex 13 p328: 600 and 150 turns, 0.25 and 0.01 ohm, 1.0 and 0.04 ohm.
    found = equivalent_impedance(0.25 + 1.0j, 0.01 + 0.04j, 600, 150)
    assert found.real == pytest.approx(0.41, abs=1e-9)
    assert found.imag == pytest.approx(1.64, abs=1e-9)
    assert abs(found) == pytest.approx(1.69, abs=0.005)
    assert math.degrees(cmath.phase(found)) == pytest.approx(75.96, abs=0.005)


@pytest.mark.parametrize(("load", "percent"), [(1.0, 97.91), (0.5, 97.88)])
def test_10_17_efficiency_at_full_and_half_load(load: float, percent: float) -> None:
    # 10.17: Bird ch. 20 Ex 18 p332: 400 kVA, 5000/320 V, 0.5 and 0.001 ohm, 2.5 kW iron loss, power factor 0.85.
    copper = (400e3 / 5000) ** 2 * 0.5 + (400e3 / 320) ** 2 * 0.001
    assert 100 * efficiency(400e3 * 0.85, copper, 2500.0, load) == pytest.approx(percent, abs=0.01)


def test_10_18_load_of_best_efficiency() -> None:
    # 10.18: Bird ch. 20 Ex 19 p333: 500 kVA, 4 kW copper and 2.5 kW iron loss, power factor 0.75.
    load = best_load(4000.0, 2500.0)
    assert 500 * load == pytest.approx(395.28, abs=0.01)
    assert 100 * efficiency(500e3 * 0.75, 4000.0, 2500.0, load) == pytest.approx(98.34, abs=0.01)
