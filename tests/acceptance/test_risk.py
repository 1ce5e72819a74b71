"""Chances and risks of the decision rule are those that the rule itself has on many units."""

from __future__ import annotations

import math
from collections import Counter
from statistics import NormalDist

import numpy as np
import pytest

from bench.acceptance.chances import chances
from bench.acceptance.decision import COVERAGE, Verdict, decide
from bench.acceptance.judging import judge
from bench.acceptance.risk import guard_band_for, risks
from bench.estimate import Estimate

UNITS = NormalDist(10.2, 0.8)
ALL = (-math.inf, math.inf)
LOWER, UPPER, U = 9.0, 11.0, 0.2


@pytest.mark.parametrize("true", [9.1, 10.0, 10.8, 11.2, 11.9])
def test_chances_are_how_often_the_rule_decides_so(true: float) -> None:
    read = np.random.default_rng(1).normal(true, U, 20_000)
    counted = Counter(decide(float(one), U, LOWER, UPPER).verdict for one in read)
    found = chances(true, U, LOWER, UPPER, COVERAGE * U)
    assert counted[Verdict.ACCEPTED] / len(read) == pytest.approx(found.accepted, abs=0.012)
    assert counted[Verdict.REJECTED] / len(read) == pytest.approx(found.rejected, abs=0.012)
    assert counted[Verdict.UNDECIDED] / len(read) == pytest.approx(found.undecided, abs=0.012)


def test_risks_are_those_of_the_rule_over_many_units() -> None:
    chance = np.random.default_rng(2)
    true = chance.normal(UNITS.mean, UNITS.stdev, 40_000)
    # Half of the guard band, so that both risks are large enough to be counted.
    read = true + chance.normal(0.0, U, len(true))
    accepted = (read >= LOWER + U) & (read <= UPPER - U)
    inside = (true >= LOWER) & (true <= UPPER)
    found = risks(UNITS.pdf, ALL, U, LOWER, UPPER, U)
    assert np.mean(~inside) == pytest.approx(found.nonconforming, abs=0.008)
    assert np.mean(accepted & ~inside) == pytest.approx(found.consumer, abs=0.0015)
    assert np.mean(inside & ~accepted) == pytest.approx(found.producer, abs=0.008)


def test_a_wider_guard_band_moves_risk_from_the_consumer_to_the_producer() -> None:
    found = [risks(UNITS.pdf, ALL, U, LOWER, UPPER, k * U) for k in (0.0, 1.0, 2.0)]
    assert found[0].consumer > found[1].consumer > found[2].consumer > 0
    assert found[0].producer < found[1].producer < found[2].producer


def test_a_meter_too_coarse_for_the_limits_accepts_nothing() -> None:
    assert chances(10.0, 1.0, LOWER, UPPER, COVERAGE * 1.0).accepted == 0.0


def test_a_unit_outside_is_accepted_in_two_percent_at_most() -> None:
    # The bar of this project: false accepts at most 2.5 % of the units outside.
    found = risks(UNITS.pdf, ALL, U, LOWER, UPPER, COVERAGE * U)
    assert 0 < found.consumer / found.nonconforming < 0.0228


def note_of(value: float, u: float, expected: float | None, lower: float | None = 9.0) -> str:
    estimate = Estimate(value, {"meter": u})
    return judge(
        "step", "a step", "ratio", "one", "V", estimate, lower=lower, upper=11.0, basis="x", expected=expected
    ).note


def test_an_undecided_step_says_whether_the_reading_or_the_unit_leaves_it_so() -> None:
    coarse = note_of(10.5, 0.45, 10.0)
    assert coarse == (
        "this meter can't tell: +-0.9 V against the nearest limit; a unit exactly as designed would be accepted "
        "18 times in 100: a surer reading helps"
    )
    fine = note_of(10.9, 0.1, 10.0)
    assert fine.endswith("; a unit exactly as designed would nearly always be accepted: this one lies near its limit")
    between = note_of(10.6, 0.3, 10.0)
    assert between == "this meter can't tell: +-0.6 V against the nearest limit"


def test_nothing_is_said_of_the_meter_where_the_design_is_no_guide() -> None:
    alone = "this meter can't tell: +-0.9 V against the nearest limit"
    assert note_of(10.5, 0.45, None) == alone
    assert note_of(10.5, 0.45, 11.5) == alone
    assert note_of(10.5, 0.45, 11.0, lower=None) == alone


def test_no_guard_band_where_none_is_needed() -> None:
    assert guard_band_for(0.5, UNITS.pdf, ALL, U, LOWER, UPPER) == 0.0


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="limits None and None"):
        chances(1.0, 0.1, None, None, 0.2)
    with pytest.raises(ValueError, match="u more than 0"):
        chances(1.0, 0.0, None, 2.0, 0.2)
    with pytest.raises(ValueError, match="the lower one first"):
        risks(UNITS.pdf, (1.0, 0.0), U, LOWER, UPPER)
    with pytest.raises(ValueError, match="a risk of 0"):
        guard_band_for(0.0, UNITS.pdf, ALL, U, LOWER, UPPER)
