"""Extrapolating resistance to the moment of switching off: exactness, doubt and refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.magnetics.cooling_curve import CoolingCurve, extrapolate_to_switch_off, rise_at_switch_off

TIMES = [10.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0]


def curve(hot: float, cold: float, time_constant: float, times: list[float] = TIMES) -> list[float]:
    return [cold + (hot - cold) * math.exp(-t / time_constant) for t in times]


@settings(max_examples=40)
@given(st.floats(1.05, 1.5), st.floats(100.0, 6000.0), st.floats(0.5, 500.0))
def test_a_clean_exponential_gives_its_start_and_time_constant(hot: float, time_constant: float, cold: float) -> None:
    readings = [cold * r for r in curve(hot, 1.0, time_constant)]
    known = extrapolate_to_switch_off(TIMES, readings, u_reading=1e-4 * cold, ambient_resistance=cold)
    assert known.resistance == pytest.approx(cold * hot, rel=1e-6)
    assert known.time_constant == pytest.approx(time_constant, rel=1e-3)
    free = extrapolate_to_switch_off(TIMES, readings, u_reading=1e-4 * cold)
    assert free.resistance == pytest.approx(cold * hot, rel=1e-5)


def test_readings_on_a_straight_line_give_the_line_s_start() -> None:
    found = extrapolate_to_switch_off(TIMES, [12.0 - 0.001 * t for t in TIMES], u_reading=0.001)
    assert found.resistance == pytest.approx(12.0, abs=1e-5)
    assert found.time_constant > 1e4


def test_not_knowing_the_air_costs_certainty() -> None:
    readings = curve(12.0, 10.0, 600.0)
    known = extrapolate_to_switch_off(TIMES, readings, u_reading=0.005, ambient_resistance=10.0)
    free = extrapolate_to_switch_off(TIMES, readings, u_reading=0.005)
    assert known.u < free.u < 0.05
    assert (known.degrees_of_freedom, free.degrees_of_freedom) == (5, 4)


def test_the_doubt_of_a_line_is_that_of_least_squares() -> None:
    # With the time constant far beyond the readings the two-parameter curve is a line through t = 0:
    # u(intercept)^2 = u^2 (1/n + mean(t)^2 / sum((t - mean)^2)), any textbook of statistics.
    t = np.array(TIMES)
    found = extrapolate_to_switch_off(TIMES, curve(12.0, 10.0, 1e5), u_reading=0.003, ambient_resistance=10.0)
    expected = 0.003 * math.sqrt(1 / len(t) + t.mean() ** 2 / np.sum((t - t.mean()) ** 2))
    assert found.u == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("known_air", [True, False])
@pytest.mark.parametrize("u_reading", [0.004, None])
def test_two_standard_uncertainties_hold_the_truth_nineteen_times_in_twenty(
    known_air: bool, u_reading: float | None
) -> None:
    random = np.random.default_rng(20)
    truth, held, runs = curve(12.0, 10.0, 400.0), 0, 120
    for _ in range(runs):
        readings = np.array(truth) + random.normal(0.0, 0.004, len(truth))
        found = extrapolate_to_switch_off(TIMES, list(readings), u_reading, 10.0 if known_air else None)
        held += abs(found.resistance - 12.0) < 2 * found.u
    # 95 % of 120 is 114, give or take 2.4 for chance; 106 is more than three of those below.
    assert held > 106


def test_a_winding_that_cools_into_its_core_first_is_read_without_the_air() -> None:
    # Two time constants, 90 s for a third of the rise and an hour for the rest (from memory: usual for a small unit).
    readings = [10.0 + 0.7 * math.exp(-t / 90.0) + 1.4 * math.exp(-t / 3600.0) for t in TIMES]
    free = extrapolate_to_switch_off(TIMES, readings, u_reading=0.002)
    one_exponential = extrapolate_to_switch_off(TIMES, readings, u_reading=0.002, ambient_resistance=10.0)
    assert free.resistance == pytest.approx(12.1, abs=0.01)
    assert abs(one_exponential.resistance - 12.1) > 0.03
    # Such a curve is not one exponential, and the scatter about it says so.
    assert one_exponential.u > 3 * free.u or one_exponential.u > 0.01


def test_three_readings_do_when_their_doubt_is_given() -> None:
    found = extrapolate_to_switch_off([10.0, 30.0, 60.0], curve(12.0, 10.0, 300.0, [10.0, 30.0, 60.0]), u_reading=0.002)
    assert found.resistance == pytest.approx(12.0, abs=1e-4)
    assert found.degrees_of_freedom == 0
    assert found.u > 0.002


@pytest.mark.parametrize(
    ("times", "readings", "options", "message"),
    [
        ([10.0, 20.0], [12.0, 11.9], {"u_reading": 0.01}, "3 or more"),
        ([10.0, 20.0, 30.0], [12.0, 11.9, 11.8], {}, "no scatter"),
        ([10.0, 20.0, 20.0], [12.0, 11.9, 11.8], {"u_reading": 0.01}, "must rise"),
        ([10.0, 20.0, 30.0], [12.0, 12.1, 12.2], {"u_reading": 0.01}, "don't fall"),
        ([10.0, 20.0, 30.0], [12.0, 12.0, 12.0], {"u_reading": 0.01}, "don't fall"),
        ([10.0, 20.0, 30.0], [12.0, 11.9, 11.8], {"u_reading": 0.01, "ambient_resistance": 11.85}, "not above"),
        ([10.0, 20.0, 30.0], [12.0, 11.9, 11.8], {"u_reading": 0.0}, "more than 0"),
        ([10.0, 20.0, 30.0], [12.0, math.nan, 11.8], {"u_reading": 0.01}, "finite"),
        ([-1.0, 20.0, 30.0], [12.0, 11.9, 11.8], {"u_reading": 0.01}, "must rise"),
    ],
)
def test_readings_that_say_nothing_are_refused(
    times: list[float], readings: list[float], options: dict[str, float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        extrapolate_to_switch_off(times, readings, **options)


def test_the_rise_carries_every_doubt() -> None:
    hot = CoolingCurve(resistance=12.0, u=0.01, time_constant=600.0, degrees_of_freedom=4)
    rise, u = rise_at_switch_off(10.0, 293.15, hot, 295.15, u_cold_resistance=0.005, u_temperature=0.3)
    assert rise == pytest.approx(0.2 * 254.5 - 2.0)
    # Each moved by its own doubt, the change of the rise by difference.
    moved = [
        rise_at_switch_off(10.0, 293.15, CoolingCurve(12.01, 0.0, 600.0, 4), 295.15)[0] - rise,
        rise_at_switch_off(10.005, 293.15, hot, 295.15)[0] - rise,
        rise_at_switch_off(10.0, 293.45, hot, 295.15)[0] - rise,
        rise_at_switch_off(10.0, 293.15, hot, 295.45)[0] - rise,
    ]
    assert u == pytest.approx(math.sqrt(sum(one**2 for one in moved)), rel=1e-3)
