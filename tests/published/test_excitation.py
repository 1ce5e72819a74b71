"""The exciting current against published tests and worked examples; the source stands beside each."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import fsolve

from bench.magnetics.excitation import (
    ExcitingAtTerminals,
    MagneticCore,
    exciting_at_terminals,
    exciting_waveform,
)
from bench.magnetics.steel import MU_0, Steel


def _straight(permeability: float, watts_a_kilogram: float) -> Steel:
    b = np.array([0.01, 3.0])
    return Steel(
        name=f"relative permeability {permeability:g}",
        density=7800.0,
        flux_density=b,
        field=b / (permeability * MU_0),
        log_spread=np.zeros(2),
        loss_flux_density=np.array([0.5, 1.5]),
        loss=np.full(2, watts_a_kilogram),
        loss_frequency=50.0,
        loss_log_spread=0.0,
    )


# A.K. Sawhney, A Course in Electrical Machine Design, Ex 5.18 p5.99: net area 2.25e-3 m2, exact arithmetic 1.783 A
# (1.760 and 0.285), book 1.77 A.  R.K. Srivastava, Electrical Machines, Ex 3.5 p36: the same with 2.3e-3 m2, 1.746 A.
@pytest.mark.parametrize(("area", "current", "magnetising", "working"), [(2.25e-3, 1.783, 1.760, 0.285)])
def test_no_load_current_in_its_two_parts(area: float, current: float, magnetising: float, working: float) -> None:
    wave = exciting_waveform(MagneticCore(area, 2.5, _straight(1000.0, 2.6)), 800, 400.0, 50.0)
    # 0.5 %: the book takes 4.44 and 4 pi e-7, and rounds the flux.
    assert wave.current.rms == pytest.approx(current, rel=0.005)
    assert wave.magnetising_current == pytest.approx(magnetising, rel=0.005)
    assert wave.working_current == pytest.approx(working, abs=0.001)


def test_no_load_current_of_a_thicker_core() -> None:
    wave = exciting_waveform(MagneticCore(2.3e-3, 2.5, _straight(1000.0, 2.6)), 800, 400.0, 50.0)
    assert wave.current.rms == pytest.approx(1.746, rel=0.005)


def test_iron_loss_is_what_the_wattmeter_shows_less_the_copper() -> None:
    # B.L. and A.K. Theraja, A Textbook of Electrical Technology, Ex 32.27: 220 V, 0.5 A, 30 W, 0.6 ohm: 29.85 W of iron
    # loss, 0.4810 and 0.1364 A.  A core is made that takes these amperes and watts, then read as the book's was.
    def took(lengths: NDArray[np.float64]) -> list[float]:
        unit = _made_of_straight_steel(lengths)
        return [unit.current - 0.5, (unit.power - 30.0) / 60.0]

    found = _made_of_straight_steel(fsolve(took, [1.0, 1.0]))
    assert found.core_loss == pytest.approx(29.85, abs=0.01)
    assert found.working == pytest.approx(0.1364, rel=0.005)
    assert found.magnetising == pytest.approx(0.4810, rel=0.001)


def _made_of_straight_steel(lengths: NDArray[np.float64]) -> ExcitingAtTerminals:
    core = MagneticCore(2e-3, 0.8, _straight(1000.0 / lengths[0], 2.6), building_factor=lengths[1])
    return exciting_at_terminals(core, 450, 220.0, 50.0, 0.6)
