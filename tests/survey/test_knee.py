"""The knee of a volt-ampere curve, against curves whose knee is known by arithmetic."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from bench.job.as_found import CurvePoint
from bench.survey.knee import Curve, Knee, Where, knee_of


def _curve(volts: np.ndarray, bend: float, power: float) -> Curve:  # type: ignore[type-arg]
    amps = 0.001 * volts + 0.1 * (volts / bend) ** power
    return Curve(tuple(volts), tuple(amps), 50.0)


@given(st.floats(80.0, 160.0), st.floats(6.0, 14.0))
def test_the_knee_is_where_ten_per_cent_more_volts_take_half_as_much_current_again(bend: float, power: float) -> None:
    # Arithmetic on i(v) = 0.001 v + 0.1 (v / bend)^power; the rule itself is that of current transformers, from memory.
    def excess(v: float) -> float:
        def i(x: float) -> float:
            return 0.001 * x + 0.1 * (x / bend) ** power

        return i(1.1 * v) / i(v) - 1.5

    true = brentq(excess, 10.0, 400.0)
    found = knee_of(_curve(np.linspace(10.0, 1.35 * true, 14), bend, power))
    assert found.where is Where.WITHIN
    assert found.volts is not None
    assert found.volts.value == pytest.approx(true, rel=0.015)


def test_a_straight_curve_has_no_knee() -> None:
    assert knee_of(_curve(np.linspace(10.0, 200.0, 12), 1e6, 5.0)) == Knee(Where.ABOVE)


def test_a_curve_that_ends_before_its_knee_tells_none() -> None:
    assert knee_of(_curve(np.linspace(10.0, 60.0, 8), 120.0, 9.0)) == Knee(Where.ABOVE)


def test_a_curve_that_begins_beyond_its_knee_says_so() -> None:
    assert knee_of(_curve(np.linspace(160.0, 220.0, 8), 100.0, 12.0)) == Knee(Where.BELOW)


def test_a_noisy_point_low_down_makes_no_knee() -> None:
    clean = _curve(np.linspace(10.0, 130.0, 12), 100.0, 12.0)
    amps = (clean.amps[0], clean.amps[1] * 0.8, *clean.amps[2:])
    noisy = knee_of(Curve(clean.volts, amps, 50.0)).volts
    plain = knee_of(clean).volts
    assert noisy is not None
    assert plain is not None
    assert noisy.value == pytest.approx(plain.value, rel=0.01)


@pytest.mark.parametrize(
    "points", [[(10, 1)], [(10, 1), (20, 2)], [(10, 1), (10, 2), (30, 3)], [(10, 3), (20, 2), (30, 4)]]
)
def test_too_few_points_two_at_the_same_volts_or_a_current_that_falls_are_refused(
    points: list[tuple[float, float]],
) -> None:
    rows = [CurvePoint.model_validate({"voltage": f"{v} V", "current": f"{i} mA"}) for v, i in points]
    with pytest.raises(ValueError, match=r"expected|one of the two is a slip"):
        Curve.of(rows, 50.0)


def test_it_says_nothing_beyond_its_ends() -> None:
    curve = _curve(np.linspace(10.0, 100.0, 10), 90.0, 9.0)
    assert curve.amps_at(9.9) is None
    assert curve.amps_at(100.1) is None
    assert curve.amps_at(100.0) == pytest.approx(curve.amps[-1])
    assert curve.growth(95.0) is None
