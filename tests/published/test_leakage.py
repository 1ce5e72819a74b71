"""Leakage reactance against published worked examples; the source stands beside each row."""

from __future__ import annotations

import math

import pytest

from bench.magnetics.leakage import Coil, Window, leakage_inductance

# A.K. Sawhney, A Course in Electrical Machine Design, Ex 5.13 p5.89 (FOSSEE Scilab-TBC-Uploads 3681/CH5/EX5.13):
# 830 turns, mean turn 0.9 m, coils 0.5 m long, duct 15 mm, 25 and 16 mm thick, 50 Hz.  The book takes one mean turn for
# all; ours grow by 2 pi a metre outwards, so the coils are laid about the radius where a turn is 0.9 m.
OMEGA = 2 * math.pi * 50
MIDDLE = 0.0255
SAWHNEY_WINDOW = Window(width=0.1, height=0.5)


def _coil(turns: float, inner: float, thickness: float) -> Coil:
    return Coil(turns, inner, inner + thickness, 0.9 + 2 * math.pi * (inner + thickness / 2 - MIDDLE), 0.5)


def test_concentric_windings() -> None:
    secondary, primary = _coil(830, 0.0, 0.016), _coil(830, 0.031, 0.025)
    # Book 14.0 ohm; exact arithmetic 14.03.
    assert OMEGA * leakage_inductance([primary], [secondary], SAWHNEY_WINDOW) == pytest.approx(14.03, rel=0.003)


def test_low_voltage_winding_split_to_both_sides() -> None:
    inside, primary, outside = _coil(415, 0.0, 0.008), _coil(830, 0.023, 0.025), _coil(415, 0.063, 0.008)
    found = OMEGA * leakage_inductance([primary], [inside, outside], SAWHNEY_WINDOW)
    # Book 5.36 ohm; exact arithmetic of X = pi f mu0 T^2 (Lmt / Lc)(a + (bp + bs)/6) is 5.344.  Symmetric about the
    # primary, whose turn is longer than 0.9 m here: 0.9 + 2 pi (35.5 - 25.5 mm).
    assert found == pytest.approx(5.344 * (0.9 + 2 * math.pi * (0.0355 - MIDDLE)) / 0.9, rel=0.003)


def test_sandwich_of_a_shell_type() -> None:
    # Sawhney Ex 5.14 p5.90 (FOSSEE Scilab-TBC-Uploads 3681/CH5/EX5.14): 2000 V, 100 kVA, 50 Hz, 200 turns, mean turn
    # 1.5 m, winding 0.12 m wide, ducts 16 mm, high-voltage coils 40 mm, low-voltage coils 36 mm thick: x = 0.0353 pu,
    # exact 0.03537 by X = pi f mu0 (T^2 / 2)(Lmt / W)(a + (bp + bs)/6).  The 2 is the number of high-voltage coils:
    # half a low-voltage coil, high, a whole low, high, half a low.  Pancakes pile along the leg, so that the winding's
    # width is to them what its length is to concentric coils.
    reactance = 0.03537 * 2000.0**2 / 100e3
    window = Window(width=0.3, height=0.12)

    def pancake(turns: float, start: float, thickness: float) -> Coil:
        return Coil(turns, start, start + thickness, 1.5 + 2 * math.pi * (start + thickness / 2 - 0.108), 0.12)

    low = [pancake(10, 0.0, 0.018), pancake(20, 0.09, 0.036), pancake(10, 0.198, 0.018)]
    high = [pancake(100, 0.034, 0.040), pancake(100, 0.142, 0.040)]
    found = OMEGA * leakage_inductance(high, low, window)
    assert found == pytest.approx(reactance, rel=0.003)
