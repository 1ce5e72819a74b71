"""Many points at once give what each gives alone."""

from __future__ import annotations

import numpy as np
import pytest

from bench.job.profiles import load_table
from bench.magnetics.excitation import MagneticCore, exciting, exciting_log_spread, power_log_spread
from bench.magnetics.exciting_curve import curve_log_spreads, exciting_curve, wave_factors
from bench.magnetics.steel import Steel

STEEL = Steel.from_table(load_table("steels", "m400-50a"))
CORE = MagneticCore(
    1.34e-3, 0.192, STEEL, joint=8e-6, building_factor=1.2, u_log_area=0.015, u_joint=5e-6, u_log_building=0.08
)
VOLTS = np.array([5.0, 40.0, 120.0, 200.0, 230.0, 253.0, 300.0])


def test_every_point_is_that_of_the_waveform() -> None:
    many = exciting_curve(CORE, 662, VOLTS, 50.0)
    each = [exciting(CORE, 662, float(volts), 50.0) for volts in VOLTS]
    assert many.current == pytest.approx([one.current for one in each], rel=1e-9)
    assert many.core_loss == pytest.approx([one.core_loss for one in each], rel=1e-9)
    assert many.flux_density == pytest.approx([one.flux_density for one in each], rel=1e-9)


def test_every_doubt_is_that_of_its_point() -> None:
    current, watts = curve_log_spreads(CORE, 662, VOLTS, 50.0)
    assert current == pytest.approx([exciting_log_spread(CORE, 662, float(v), 50.0) for v in VOLTS], rel=1e-6)
    assert watts == pytest.approx([power_log_spread(CORE, 662, float(v), 50.0) for v in VOLTS], rel=1e-6)


def test_the_factors_of_the_wave_are_those_of_the_waveform() -> None:
    form, crest = wave_factors(CORE, 662, VOLTS, 50.0)
    each = [exciting(CORE, 662, float(volts), 50.0) for volts in VOLTS]
    assert form == pytest.approx([one.current / one.mean for one in each], rel=1e-9)
    assert crest == pytest.approx([one.peak / one.current for one in each], rel=1e-9)
    assert crest[-1] > 2.0  # far beyond the knee the current is all peaks


@pytest.mark.parametrize(("turns", "volts", "frequency"), [(0, 10.0, 50.0), (662, 0.0, 50.0), (662, 10.0, 400.0)])
def test_outside_the_range_is_refused(turns: int, volts: float, frequency: float) -> None:
    with pytest.raises(ValueError, match="0"):
        exciting_curve(CORE, turns, np.array([volts]), frequency)
