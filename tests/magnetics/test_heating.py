"""Heating and cooling curves: what they must give back, and what they refuse."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.magnetics.heating import cooling_time_constant, final_rise, rise_after


@given(st.floats(5.0, 120.0), st.floats(600.0, 3e4), st.floats(0.1, 2.0))
def test_the_final_rise_and_the_time_constant_come_back_from_two_readings(
    final: float, time_constant: float, fraction: float
) -> None:
    interval = fraction * time_constant
    readings = [rise_after(n * interval, final, time_constant) for n in (1, 2)]
    assert final_rise(readings[0], readings[1], interval) == pytest.approx((final, time_constant), rel=1e-6)


@given(st.floats(5.0, 120.0), st.floats(600.0, 3e4), st.floats(0.1, 3.0))
def test_the_time_constant_of_cooling_comes_back(start: float, time_constant: float, fraction: float) -> None:
    time = fraction * time_constant
    later = rise_after(time, 0.0, time_constant, start)
    assert cooling_time_constant(start, later, time) == pytest.approx(time_constant)


@pytest.mark.parametrize(("first", "second"), [(20.0, 40.0), (20.0, 20.0), (20.0, 10.0), (0.0, 1.0)])
def test_readings_on_no_heating_curve_are_refused(first: float, second: float) -> None:
    with pytest.raises(ValueError, match="on no heating curve"):
        final_rise(first, second, 3600.0)


@pytest.mark.parametrize(("start", "later"), [(20.0, 20.0), (20.0, 0.0), (10.0, 20.0)])
def test_what_does_not_cool_is_refused(start: float, later: float) -> None:
    with pytest.raises(ValueError, match="is no cooling"):
        cooling_time_constant(start, later, 60.0)


def test_a_time_before_the_start_is_refused() -> None:
    with pytest.raises(ValueError, match="time must not be negative"):
        rise_after(-1.0, 50.0, 3600.0)
