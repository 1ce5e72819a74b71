"""What must hold of the exciting current whatever the steel: scaling, symmetry, shape."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.profiles import load_table
from bench.magnetics.excitation import MagneticCore, exciting, exciting_log_spread, power_log_spread
from bench.magnetics.steel import Steel

STEEL = Steel.from_table(load_table("steels", "m400-50a"))
CORE = MagneticCore(
    1.34e-3, 0.192, STEEL, joint=8e-6, building_factor=1.2, u_log_area=0.015, u_joint=5e-6, u_log_building=0.08
)


@given(st.floats(20.0, 280.0), st.integers(2, 5))
def test_ampere_turns_belong_to_the_core_not_to_the_winding(volts: float, times: int) -> None:
    one, many = exciting(CORE, 662, volts, 50.0), exciting(CORE, 662 * times, volts * times, 50.0)
    assert many.current * times == pytest.approx(one.current, rel=1e-9)
    assert many.core_loss == pytest.approx(one.core_loss, rel=1e-9)


@given(st.floats(20.0, 280.0))
def test_sixty_hertz_needs_six_fifths_of_the_volts_for_the_same_flux(volts: float) -> None:
    slow, fast = exciting(CORE, 662, volts, 50.0), exciting(CORE, 662, volts * 1.2, 60.0)
    assert fast.flux_density == pytest.approx(slow.flux_density, rel=1e-12)
    assert fast.core_loss > slow.core_loss


@given(st.floats(5.0, 290.0), st.floats(1.001, 1.3))
def test_more_volts_take_more_current_and_more_watts(volts: float, factor: float) -> None:
    less, more = exciting(CORE, 662, volts, 50.0), exciting(CORE, 662, volts * factor, 50.0)
    assert more.current > less.current
    assert more.core_loss > less.core_loss


def test_the_current_is_peaky_in_saturation_and_rms_mean_and_peak_differ_as_in_life() -> None:
    deep = exciting(CORE, 662, 320.0, 50.0)
    assert deep.peak / deep.current > 1.8
    assert deep.current / deep.mean > 1.2


def test_what_is_not_known_of_the_steel_is_the_largest_part_of_the_doubt() -> None:
    whole = exciting_log_spread(CORE, 662, 230.0, 50.0)
    certain = replace(CORE, steel=replace(STEEL, log_spread=STEEL.log_spread * 0.0))
    assert exciting_log_spread(certain, 662, 230.0, 50.0) < 0.6 * whole


def test_loss_is_known_better_than_current() -> None:
    assert power_log_spread(CORE, 662, 138.0, 50.0) < 0.5 * exciting_log_spread(CORE, 662, 138.0, 50.0)
