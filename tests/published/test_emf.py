"""The EMF equation against published worked examples; the source stands beside each row."""

from __future__ import annotations

import math

import pytest

from bench.magnetics.emf import (
    EMF_FACTOR,
    core_area,
    emf,
    flux_density,
    peak_flux,
    turns,
    turns_per_volt,
    volts_per_turn,
)


def test_the_constant_is_pi_root_two() -> None:
    # Definition, any textbook; handbooks round to 4.44, which is 0.065 % low.
    assert pytest.approx(4.442883, abs=5e-7) == EMF_FACTOR
    assert pytest.approx(1.00065, abs=5e-6) == EMF_FACTOR / 4.44


# J.O. Bird, Electrical Circuit Theory and Technology, ch. 20, Ex 10 p323 (FOSSEE textbook companion).
@pytest.mark.parametrize(("voltage", "expected"), [(500.0, 300.3), (100.0, 60.06)])
def test_turns_from_volts_flux_and_area(voltage: float, expected: float) -> None:
    assert turns(voltage, 50.0, 1.5, 0.005) == pytest.approx(expected, abs=0.3)
    assert round(turns(voltage, 50.0, 1.5, 0.005)) == round(expected)


def test_flux_density_and_secondary_volts() -> None:
    # Bird ch. 20 Ex 9 p322: 250 V, 50 Hz, 25 and 300 turns, 0.03 m2.
    b = flux_density(250.0, 50.0, 25, 0.03)
    assert b == pytest.approx(1.5015, rel=0.002)
    assert emf(50.0, 300, b, 0.03) == pytest.approx(3000.0, rel=1e-9)


def test_core_area_from_volts_per_turn() -> None:
    # Bird ch. 20 Ex 11 p323: 15 V/turn, 50 Hz, 1.4 T.
    assert core_area(15.0, 50.0, 1.4) == pytest.approx(0.04826, rel=0.002)
    assert (4500 / 15, 225 / 15) == (300, 15)


def test_peak_flux() -> None:
    # Bird ch. 20 Ex 8 p321: 200 V, 50 Hz, 100 turns gives 9.01 mWb.
    assert peak_flux(200.0, 50.0, 100) == pytest.approx(9.01e-3, rel=0.001)


@pytest.mark.parametrize(("voltage", "expected"), [(230.0, 1151.15), (110.0, 550.55), (6.0, 30.03)])
def test_a_small_core_with_three_windings(voltage: float, expected: float) -> None:
    # D.C. Kulshreshtha, Basic Electrical Engineering, Ex 13.6 p378: 9 cm2, 1.0 T, 50 Hz; the book's 4.44.
    unrounded = turns(voltage, 50.0, 1.0, 9e-4) * EMF_FACTOR / 4.44
    assert unrounded == pytest.approx(expected, abs=0.1)
    assert volts_per_turn(50.0, 1.0, 9e-4) * 4.44 / EMF_FACTOR == pytest.approx(0.1998, rel=1e-6)


def test_flux_density_of_a_larger_core() -> None:
    # Kulshreshtha Ex 13.2 p377: 230 V, 50 Hz, 30 and 350 turns, 250 cm2.
    b = flux_density(230.0, 50.0, 30, 250e-4)
    assert b == pytest.approx(1.38, rel=0.002)
    assert emf(50.0, 350, b, 250e-4) == pytest.approx(2683.0, rel=0.002)


def test_stacking_factor_ninety_percent() -> None:
    # B.L. & A.K. Theraja, A Textbook of Electrical Technology vol. II, Ex 32.2 p1123: 20 x 20 cm gross, 1.3 T.
    per_turn = volts_per_turn(50.0, 1.3, 0.2 * 0.2 * 0.9)
    assert per_turn == pytest.approx(10.39, rel=0.001)
    assert round(11000 / 10.39) == 1059
    assert round(550 / per_turn) == 53


def test_flux_density_theraja() -> None:
    # Theraja Ex 32.3 p1123: 520 V, 50 Hz, 400 and 1000 turns, 60 cm2.
    assert flux_density(520.0, 50.0, 400, 60e-4) == pytest.approx(0.976, rel=0.001)
    assert 520.0 * 1000 / 400 == 1300.0


def test_stacking_factor_eighty_five_percent() -> None:
    # M. Verma & V. Ahuja, Electrical Machines-I, Ex 3.1 p275: 500 cm2 gross, 1.5 T, 50 Hz.
    unrounded = turns(5000.0, 50.0, 1.5, 500e-4 * 0.85)
    assert unrounded == pytest.approx(353.29, rel=0.001)
    assert math.floor(unrounded) in (352, 353)  # the book truncates 353.29; 4.4429 in place of 4.44 gives 353.06
    assert volts_per_turn(50.0, 1.5, 500e-4 * 0.85) == pytest.approx(14.15, rel=0.001)


def test_sixty_hertz_peak_flux() -> None:
    # C.I. Hubert, Electric Machines, Ex 2.1 p42: 240 V, 60 Hz, 200 turns; the book's 4.44.
    assert peak_flux(240.0, 60.0, 200) * EMF_FACTOR / 4.44 == pytest.approx(4.5045e-3, rel=0.001)


def test_a_counted_winding_tells_turns_per_volt() -> None:
    # Common practice, no source: 92 turns that give 21 V tell 4.38 turns per volt; 16 V then needs 70, 9.8 V 43 turns.
    per_volt = turns_per_volt(92, 21.0)
    assert per_volt == pytest.approx(4.38, abs=0.005)
    assert round(16.0 * per_volt) == 70
    assert round(9.8 * per_volt) == 43


def test_nameplate_volts_are_not_a_miscount() -> None:
    # Common practice, no source: 497 turns answer to about 114 V of a 115 V rating. That is less than the 3 % that
    # nameplate volts against counts usually leave, and in turns far from the one or two of a miscount.
    per_volt = turns_per_volt(92, 21.0)
    assert 497 / per_volt == pytest.approx(114.0, abs=0.6)
    assert abs(497 / per_volt / 115.0 - 1) < 0.03
    assert abs(115.0 * per_volt - 497) > 5


@pytest.mark.parametrize(
    "call",
    [
        lambda: emf(0.0, 100, 1.0, 1e-3),
        lambda: emf(50.0, -1, 1.0, 1e-3),
        lambda: turns(230.0, 50.0, 0.0, 1e-3),
        lambda: flux_density(-1.0, 50.0, 100, 1e-3),
        lambda: turns_per_volt(100, 0.0),
    ],
)
def test_outside_the_range_is_refused(call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=r"expected|negative"):
        call()
