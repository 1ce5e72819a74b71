"""The decision rule and its risks against JCGM 106; published checks, numbered by us, the source beside each.

How doubt is carried along is in test_propagation.py.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest

from bench.acceptance.chances import chances
from bench.acceptance.decision import COVERAGE, Verdict, decide
from bench.acceptance.risk import guard_band_for, risks

# 8.1 and 8.2: JCGM 106:2012 9.5.4, the radial error motion of ball bearings, as worked in the open library suncal
# ("Risk - Ball Bearing"): spread as gamma(4, 1/4), at most 2 um allowed, measured with u = 0.25 um.
ANY_SIZE = (0.0, math.inf)


def _bearings(size: float) -> float:
    return 4.0**4 * size**3 * math.exp(-4.0 * size) / math.gamma(4)


def test_ball_bearings_measured_without_a_guard_band() -> None:
    # 8.1: 4.24 % of them are outside; 0.80 % of all are outside and accepted.
    found = risks(_bearings, ANY_SIZE, 0.25, None, 2.0)
    assert found.nonconforming == pytest.approx(0.0424, abs=5e-5)
    assert found.consumer == pytest.approx(0.0080, abs=5e-5)


def test_the_guard_band_that_keeps_the_consumer_s_risk_to_a_thousandth() -> None:
    # 8.2: w = 0.328 um, so 1.672 um is the acceptance limit.
    guard = guard_band_for(0.001, _bearings, ANY_SIZE, 0.25, None, 2.0)
    assert guard == pytest.approx(0.328, abs=5e-4)
    assert 2.0 - guard == pytest.approx(1.672, abs=5e-4)
    assert risks(_bearings, ANY_SIZE, 0.25, None, 2.0, guard).consumer == pytest.approx(0.001)


def test_one_sided_upper_limit() -> None:
    # 8.4: JCGM 106:2012 7.3.3, example 1 (numbers recalled; their arithmetic repeated with scipy).
    assert decide(-5.47, 0.05, None, -5.40).probability == pytest.approx(0.919, abs=0.0005)


def test_one_sided_lower_limit() -> None:
    # 8.5: JCGM 106:2012 7.3.3, example 2 (the same).
    assert decide(509.7, 8.6, 490.0, None).probability == pytest.approx(0.989, abs=0.0005)


# 8.6: JCGM 106:2012 table 1 (z to two places), and scipy 1.17.1 norm.ppf, here the standard library's own.
@pytest.mark.parametrize(("z", "probability"), [(0.84, 0.80), (1.28, 0.90), (1.64, 0.95), (2.33, 0.99), (3.09, 0.999)])
def test_conformance_probability(z: float, probability: float) -> None:
    exact = NormalDist().inv_cdf(probability)
    assert exact == pytest.approx(z, abs=0.005)
    assert decide(-exact, 1.0, None, 0.0).probability == pytest.approx(probability, abs=1e-9)
    assert decide(exact, 1.0, 0.0, None).probability == pytest.approx(probability, abs=1e-9)


def test_conformance_probability_between_two_limits() -> None:
    # JCGM 106:2012 7.4, the formula; the standard library's normal distribution as the reference.
    normal = NormalDist(9.7, 0.4)
    expected = normal.cdf(10.0) - normal.cdf(9.0)
    assert decide(9.7, 0.4, 9.0, 10.0).probability == pytest.approx(expected, abs=1e-12)


def test_guard_band_of_two_u_leaves_two_percent_risk() -> None:
    # 8.7: ILAC-G8:09/2019 (recalled), scipy norm.sf: on the acceptance limit TU - w the risk of a false accept is
    # 2.28 % for w = 2 u, 2.50 % for 1.96 u, 5 % for 1.64 u.
    on_the_edge = decide(10.0 - COVERAGE * 0.5, 0.5, None, 10.0)
    assert on_the_edge.verdict is Verdict.ACCEPTED
    assert decide(10.0 - COVERAGE * 0.5 + 1e-6, 0.5, None, 10.0).verdict is Verdict.UNDECIDED
    assert 1 - on_the_edge.probability == pytest.approx(0.0228, abs=5e-5)
    for k, risk, within in ((1.96, 0.0250, 5e-5), (1.64, 0.05, 6e-4)):
        assert 1 - decide(10.0 - k * 0.5, 0.5, None, 10.0).probability == pytest.approx(risk, abs=within)
        # And from the other side: a unit that lies on its limit is accepted as often.
        assert chances(10.0, 0.5, None, 10.0, k * 0.5).accepted == pytest.approx(risk, abs=within)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (8.99, Verdict.ACCEPTED),
        (9.5, Verdict.UNDECIDED),
        (10.9, Verdict.UNDECIDED),
        (11.01, Verdict.REJECTED),
        (0.9, Verdict.UNDECIDED),
        (-1.01, Verdict.REJECTED),
    ],
)
def test_inside_outside_and_between(value: float, verdict: Verdict) -> None:
    assert decide(value, 0.5, 0.0, 10.0).verdict is verdict


@pytest.mark.parametrize(
    ("u", "lower", "upper"), [(-1.0, 0.0, 1.0), (math.nan, 0.0, 1.0), (1.0, None, None), (1.0, 2.0, 1.0)]
)
def test_nonsense_is_refused(u: float, lower: float | None, upper: float | None) -> None:
    with pytest.raises(ValueError, match=r"."):
        decide(0.0, u, lower, upper)
