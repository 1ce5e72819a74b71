"""The decision rule and the propagation of doubt against JCGM documents and a reference library."""

from __future__ import annotations

import math

import pytest
import uncertainties

from bench.acceptance.decision import Verdict, decide
from bench.estimate import Estimate


# JCGM 106:2012 7.3.3, examples 1 and 2 (numbers recalled; their arithmetic repeated with scipy).
def test_one_sided_upper_limit() -> None:
    assert decide(-5.47, 0.05, None, -5.40).probability == pytest.approx(0.919, abs=0.001)


def test_one_sided_lower_limit() -> None:
    assert decide(509.7, 8.6, 490.0, None).probability == pytest.approx(0.989, abs=0.001)


# JCGM 106:2012 table 1.
@pytest.mark.parametrize(("z", "probability"), [(0.84, 0.80), (1.28, 0.90), (1.64, 0.95), (2.33, 0.99), (3.09, 0.999)])
def test_conformance_probability(z: float, probability: float) -> None:
    assert decide(-z, 1.0, None, 0.0).probability == pytest.approx(probability, abs=0.002)


def test_guard_band_of_two_u_leaves_two_percent_risk() -> None:
    # ILAC-G8:09/2019 (recalled): on the acceptance limit TU - U the risk of a false accept is 2.28 % for k = 2.
    on_the_edge = decide(10.0 - 2 * 0.5, 0.5, None, 10.0)
    assert on_the_edge.verdict is Verdict.ACCEPTED
    assert 1 - on_the_edge.probability == pytest.approx(0.0228, abs=1e-4)


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


def test_shared_gain_cancels_in_a_ratio_as_the_reference_library_has_it() -> None:
    # uncertainties 3 as the reference: one gain, two readings on the same range, own noise each.
    gain, noise_a, noise_b = (uncertainties.ufloat(0.0, u) for u in (0.01, 0.002, 0.003))
    reference = (10.0 * (1 + gain) + noise_a) / (4.0 * (1 + gain) + noise_b)
    first = Estimate(10.0, {"meter:volts:10:gain": 0.1, "a:noise": 0.002})
    second = Estimate(4.0, {"meter:volts:10:gain": 0.04, "b:noise": 0.003})
    ratio = first / second
    assert ratio.u == pytest.approx(reference.std_dev, rel=1e-9)
    assert set(c.source for c in ratio.components if c.u > 1e-12) == {"a:noise", "b:noise"}


def test_a_long_expression_as_the_reference_library_has_it() -> None:
    # Watts from three voltages on one range, and a resistor.
    g, r = uncertainties.ufloat(0.0, 0.005), uncertainties.ufloat(1000.0, 6.0)
    na, nb, nc = (uncertainties.ufloat(0.0, 0.01) for _ in range(3))
    s, x, w = 143.0 * (1 + g) + na, 26.6 * (1 + g) + nb, 130.0 * (1 + g) + nc
    reference = (s * s - x * x - w * w) / (2 * r)
    both = Estimate(143.0, {"g": 0.715, "a": 0.01})
    across = Estimate(26.6, {"g": 0.133, "b": 0.01})
    winding = Estimate(130.0, {"g": 0.65, "c": 0.01})
    power = (both * both - across * across - winding * winding) / (2.0 * Estimate(1000.0, {"r": 6.0}))
    assert power.value == pytest.approx(reference.nominal_value)
    assert power.u == pytest.approx(reference.std_dev, rel=1e-9)
