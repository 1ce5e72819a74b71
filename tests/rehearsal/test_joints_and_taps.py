"""Ohms in series with a lead, and taps that come out at another turn."""

from __future__ import annotations

import pytest

from bench.job.model import Job
from bench.rehearsal.problems import RehearsalProblem
from tests.rehearsal.benches import feed, nominal_bench, ohmmeter

_HEATER = ("heater.start", "heater.finish")
_HALVES = (("ht.start", "ht.centre"), ("ht.centre", "ht.finish"))
_HT = ("ht.start", "ht.finish")


@pytest.mark.parametrize("share", [5, 20, 100])
@pytest.mark.parametrize("winding", ["primary", "ht", "heater"])
def test_a_poor_joint_adds_its_share_of_the_winding_s_own_ohms(coastal: Job, winding: str, share: int) -> None:
    ends = f"{winding}.start", f"{winding}.finish"
    good, poor = nominal_bench(coastal), nominal_bench(coastal, f"joint_poor:{winding}={share} %")
    assert ohmmeter(poor, *ends) == pytest.approx((1 + share / 100) * ohmmeter(good, *ends), rel=1e-5)


def test_a_poor_joint_of_some_ohms_adds_them_whatever_the_warmth(coastal: Job) -> None:
    good, poor = nominal_bench(coastal), nominal_bench(coastal, "joint_poor:ht=12 ohm")
    for kelvin in (293.15, 343.15):
        good.temperature = poor.temperature = kelvin
        assert ohmmeter(poor, *_HT) - ohmmeter(good, *_HT) == pytest.approx(12.0, rel=1e-4)


def test_a_poor_joint_drops_volts_and_burns_watts_under_load_only(coastal: Job) -> None:
    good, poor = nominal_bench(coastal), nominal_bench(coastal, "joint_poor:heater=0.1 ohm")
    for bench in (good, poor):
        feed(bench, 230.0)
    assert poor.voltage(*_HEATER, 0.0) == pytest.approx(good.voltage(*_HEATER, 0.0), rel=1e-6)
    for bench in (good, poor):
        bench.load("heater", 2.1, 0.0)
    loaded, sagging = (bench.voltage(*_HEATER, 0.0) for bench in (good, poor))
    # The volts behind the joint split between it and the load, and the unit's own ohms have less to carry.
    inner = good.voltage(*_HEATER, 0.0) / 2.1
    assert loaded - sagging == pytest.approx(0.1 * inner, rel=0.08)
    assert sagging < loaded - 0.2


def test_a_poor_joint_of_a_tap_is_in_series_with_the_tap_s_lead_alone(coastal: Job) -> None:
    good, poor = nominal_bench(coastal), nominal_bench(coastal, "joint_poor:ht.centre=10 ohm")
    for half in _HALVES:
        assert ohmmeter(poor, *half) - ohmmeter(good, *half) == pytest.approx(10.0, rel=1e-4)
    assert ohmmeter(poor, *_HT) == pytest.approx(ohmmeter(good, *_HT), rel=1e-6)


def test_a_poor_joint_stands_beside_other_faults_of_the_same_winding(coastal: Job) -> None:
    good = ohmmeter(nominal_bench(coastal), *_HT)
    twice = nominal_bench(coastal, "joint_poor:ht=5 ohm", "joint_poor:ht=7 ohm", "turns_shorted:ht")
    turn = good / 1554
    assert ohmmeter(twice, *_HT) == pytest.approx(good + 12 - turn * turn / (turn + 0.02), rel=1e-4)
    swapped = nominal_bench(coastal, "joint_poor:heater=5 ohm", "leads_swapped:heater,rectifier")
    assert ohmmeter(swapped, "rectifier.start", "rectifier.finish") > 5


@pytest.mark.parametrize("late", [2, 10, -1])
def test_a_misplaced_tap_moves_both_halves_and_not_the_whole(coastal: Job, late: int) -> None:
    good, bench = nominal_bench(coastal), nominal_bench(coastal, f"tap_misplaced:ht.centre={late}")
    feed(bench, 230.0)
    turn_volts = bench.voltage(*_HT, 0.0) / 1554
    for half, turns in zip(_HALVES, (777 + late, 777 - late), strict=True):
        assert bench.voltage(*half, 0.0) / turn_volts == pytest.approx(turns, abs=0.05)
    feed(good, 230.0)
    assert bench.voltage(*_HT, 0.0) == pytest.approx(good.voltage(*_HT, 0.0), rel=1e-5)
    bench.excite(None, 0.0)
    good.excite(None, 0.0)
    changed = [ohmmeter(bench, *half) - ohmmeter(good, *half) for half in _HALVES]
    assert changed[0] * late > 0
    assert changed[1] == pytest.approx(-changed[0], rel=0.2)
    assert ohmmeter(bench, *_HT) == pytest.approx(ohmmeter(good, *_HT), rel=1e-3)


def test_faults_that_leave_no_turn_together_are_refused(coastal: Job) -> None:
    with pytest.raises(RehearsalProblem, match="no turn is left before centre"):
        nominal_bench(coastal, "turns_wrong:ht.centre=-770", "tap_misplaced=-10")
