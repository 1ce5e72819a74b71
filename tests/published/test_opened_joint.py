"""The exciting current of a core whose joint was opened, against a published test.

A 30 VA unit at 120 V, 60 Hz, 33.2 ohm, butt-stacked: 78.7 mA and 1.65 W; with 0.002 in (0.05 mm) put in the joint
180 mA and 2.54 W (physicsforums.com, showthread 2451198; less I2R: 1.44 and 1.46 W of core loss).

Neither core nor turns were published.  An EI 66 at 1.2 T is taken, and of it the turns, the air that was in the joint
before, and the loss are found from the two currents and the first watts.  What then comes out by itself is the second
watts, the core loss, and the joint; the flux crosses the joint twice, so that 0.05 mm are 0.1 mm of air.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import fsolve

from bench.job.profiles import load_table
from bench.magnetics.emf import EMF_FACTOR
from bench.magnetics.excitation import ExcitingAtTerminals, MagneticCore, exciting_at_terminals, magnetising_drop
from bench.magnetics.steel import Steel


@pytest.fixture(scope="module")
def turns_joint_building() -> NDArray[np.float64]:
    def apart(logs: NDArray[np.float64]) -> list[float]:
        closed, opened = _opened(np.exp(logs))
        return [closed.current / 0.0787 - 1, closed.power / 1.65 - 1, opened.current / 0.180 - 1]

    return np.asarray(np.exp(fsolve(apart, np.log([700.0, 3e-5, 1.0]))))


def test_the_watts_rise_by_the_copper_loss_and_the_core_loss_does_not(
    turns_joint_building: NDArray[np.float64],
) -> None:
    closed, opened = _opened(turns_joint_building)
    assert opened.current == pytest.approx(0.180, rel=1e-6)
    assert opened.power == pytest.approx(2.54, rel=0.015)
    assert opened.core_loss == pytest.approx(1.46, rel=0.02)
    assert opened.core_loss == pytest.approx(closed.core_loss, rel=0.005)
    assert opened.power - closed.power == pytest.approx(33.2 * (0.180**2 - 0.0787**2), rel=0.01)


def test_what_was_in_the_joint_before_is_what_butt_joints_are_allowed(
    turns_joint_building: NDArray[np.float64],
) -> None:
    turns, joint, _ = turns_joint_building
    allowed = load_table("limits", "small-mains")["assembly"]
    assert joint * 1e3 == pytest.approx(allowed["joint_butt_mm"], abs=allowed["u_joint_butt_mm"])
    # A 30 VA unit on an EI 66 has 5 to 6.5 cm2 of steel (common practice, no source).
    assert 5e-4 < 119.5 / (EMF_FACTOR * 60.0 * turns * 1.2) < 6.5e-4


def test_only_the_working_current_takes_volts(turns_joint_building: NDArray[np.float64]) -> None:
    closed, opened = _opened(turns_joint_building)
    # Core watts over volts, times the ohms: 0.4 V; all of the current times the ohms would be 2.6 V.
    assert 120.0 - closed.emf == pytest.approx(magnetising_drop(closed.working, closed.magnetising, 33.2, 0.0), rel=0.1)
    assert 120.0 - closed.emf == pytest.approx(1.44 / 119.6 * 33.2, rel=0.1)
    # Opened, 6 V stand across the flux's quarter cycle: they add their square over twice the EMF.
    turned = (opened.magnetising * 33.2) ** 2 / 2 / 120.0
    assert 120.0 - opened.emf == pytest.approx(
        magnetising_drop(opened.working, opened.magnetising, 33.2, 0.0) + turned, rel=0.02
    )


def _opened(unknown: NDArray[np.float64]) -> tuple[ExcitingAtTerminals, ExcitingAtTerminals]:
    turns, joint, building = (float(value) for value in unknown)
    area = 119.5 / (EMF_FACTOR * 60.0 * turns * 1.2)
    steel = Steel.from_table(load_table("steels", "m530-65a"))
    core = MagneticCore(area, 0.132, steel, joint=joint, building_factor=building)
    feed = (turns, 120.0, 60.0, 33.2)
    return exciting_at_terminals(core, *feed), exciting_at_terminals(replace(core, joint=joint + 0.1e-3), *feed)
