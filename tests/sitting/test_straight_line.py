"""A weighted straight line against numpy's, against published numbers, and against its own promise."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.sitting.straight_line import straight_line

# JCGM 100:2008, H.3 fits a thermometer's correction to 11 readings of equal weight: table H.6, t [degC] and b [degC].
_T = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
_B = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)


def test_the_calibration_of_a_thermometer_of_the_gum() -> None:
    """JCGM 100:2008, H.3.3: y1 = -0.1712(29) degC at 20 degC, y2 = 0.00218(67), s = 0.0035 degC."""
    line = straight_line(_T, _B, [1e-6] * 11)  # scatter alone tells: doubts far below it are widened to it
    assert line.slope == pytest.approx(0.00218, abs=0.000005)
    assert line.u_slope == pytest.approx(0.00067, abs=0.000005)
    assert line.at(20.0) == pytest.approx(-0.1712, abs=0.00005)
    at_20 = math.hypot(line.u_mean, line.u_slope * (20.0 - line.center))
    assert at_20 == pytest.approx(0.0029, abs=0.00005)
    assert line.birge * 1e-6 == pytest.approx(0.0035, abs=0.00005)
    assert line.significant


@pytest.mark.parametrize("seed", range(5))
def test_it_is_numpy_s_weighted_fit(seed: int) -> None:
    """numpy.polyfit with w = 1/u: cov="unscaled" where the scatter is within the doubts, cov=True (scaled) beyond."""
    draw = np.random.default_rng(seed)
    x = np.sort(draw.uniform(50.0, 60.0, 12))
    u = draw.uniform(0.5, 3.0, 12)
    y = 2.0 + 0.3 * x + draw.normal(0.0, u) * (0.4 if seed % 2 else 3.0)
    line = straight_line(list(x), list(y), list(u))
    (slope, _), unscaled = np.polyfit(x, y, 1, w=1 / u, cov="unscaled")
    assert line.slope == pytest.approx(slope, rel=1e-9)
    assert line.at(55.0) == pytest.approx(np.polyval(np.polyfit(x, y, 1, w=1 / u), 55.0), rel=1e-9)
    scaled = np.polyfit(x, y, 1, w=1 / u, cov=True)[1]
    due = max(math.sqrt(unscaled[0, 0]), math.sqrt(scaled[0, 0]))
    assert line.u_slope == pytest.approx(due, rel=1e-9)


def test_its_interval_holds_the_truth_as_often_as_it_says() -> None:
    """With doubts far too small, so that only the scatter tells: 95 % of 2000 intervals by Student's t."""
    draw = np.random.default_rng(7)
    x = [0.0, 0.4, 1.1, 1.5, 2.2]
    held = 0
    for _ in range(2000):
        y = [0.2 * one + draw.normal() for one in x]
        line = straight_line(x, y, [1e-3] * 5)
        held += abs(line.slope - 0.2) <= line.slope_within
    assert 0.935 < held / 2000 < 0.965


@pytest.mark.parametrize(
    ("x", "y", "u"),
    [([1, 2], [1, 2], [1, 1]), ([1, 1, 1], [1, 2, 3], [1, 1, 1]), ([1, 2, 3], [1, 2, 3], [1, 0, 1])],
)
def test_what_makes_no_line_is_refused(x: list[float], y: list[float], u: list[float]) -> None:
    with pytest.raises(ValueError, match="expected"):
        straight_line(x, y, u)
