"""Strands that are open or of unequal turns, and wire of another size."""

from __future__ import annotations

import itertools
import math

import pytest

from bench.job.model import Job
from bench.job.profiles import load_table
from bench.rehearsal.faults.wire import SIZE_STEP
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.workbench import Workbench
from tests.rehearsal.benches import feed, nominal_bench, ohmmeter

_PRIMARY, _HEATER = ("primary.start", "primary.finish"), ("heater.start", "heater.finish")


def _at(job: Job, volts: float, *faults: str) -> Workbench:
    bench = nominal_bench(job, *faults)
    feed(bench, volts)
    return bench


def _turn_volts(bench: Workbench) -> float:
    return bench.voltage("ht.start", "ht.finish", 0.0) / 1554


def _turns(bench: Workbench, begin: str, end: str) -> float:
    return bench.voltage(begin, end, 0.0) / _turn_volts(bench)


def _in_hand(job: Job, winding: str, strands: int) -> Job:
    windings = tuple(one.model_copy(update={"strands": strands}) if one.name == winding else one for one in job.winding)
    return job.model_copy(update={"winding": windings})


@pytest.mark.parametrize(("strands", "factor"), [(2, 2.0), (3, 1.5), (4, 4 / 3)])
def test_with_one_strand_open_the_others_carry_it_all(coastal: Job, strands: int, factor: float) -> None:
    job = _in_hand(coastal, "heater", strands)
    good, broken = nominal_bench(job), nominal_bench(job, "strand_open")
    assert ohmmeter(broken, *_HEATER) == pytest.approx(factor * ohmmeter(good, *_HEATER), rel=1e-6)
    assert _turns(_at(job, 230.0, "strand_open"), *_HEATER) == pytest.approx(19.0, abs=0.05)
    assert _at(job, 230.0, "strand_open").power(0.0) == pytest.approx(_at(job, 230.0).power(0.0), rel=1e-3)


def test_an_open_strand_of_one_half_leaves_the_other_half(coastal: Job) -> None:
    job = _in_hand(coastal, "ht", 2)
    good, half, whole = (nominal_bench(job, fault) for fault in ("none", "strand_open:ht.centre", "strand_open:ht"))
    for ends, doubled in ((("ht.start", "ht.centre"), 2.0), (("ht.centre", "ht.finish"), 1.0)):
        assert ohmmeter(half, *ends) == pytest.approx(doubled * ohmmeter(good, *ends), rel=1e-5)
        assert ohmmeter(whole, *ends) == pytest.approx(2.0 * ohmmeter(good, *ends), rel=1e-5)


def test_a_sheet_s_ohms_are_those_of_all_strands(coastal: Job) -> None:
    windings = tuple(
        one.model_copy(update={"resistance": 0.07}) if one.name == "heater" else one for one in coastal.winding
    )
    job = coastal.model_copy(update={"winding": windings})
    assert ohmmeter(nominal_bench(job), *_HEATER) == pytest.approx(0.070, rel=1e-5)
    assert ohmmeter(nominal_bench(job, "strand_open"), *_HEATER) == pytest.approx(0.140, rel=1e-5)
    assert ohmmeter(nominal_bench(job, "wire_wrong:heater=-1"), *_HEATER) == pytest.approx(0.07 * 1.1225**2, rel=1e-5)


def test_with_no_strand_left_the_winding_is_called_open(coastal: Job) -> None:
    with pytest.raises(RehearsalProblem, match="no strand of heater is left, expected winding_open"):
        nominal_bench(coastal, "strand_open", "strand_open")


@pytest.mark.parametrize(("more", "between"), [(1, 19.5), (2, 20.0), (-1, 18.5)])
def test_unequal_strands_drive_a_current_round_their_loop(coastal: Job, more: int, between: float) -> None:
    good, unequal = _at(coastal, 230.0), _at(coastal, 230.0, f"strands_unequal:heater={more}")
    # Each strand by hand: 0.90 mm bare, its turns times the mean turn.
    mean_turn = next(coil.mean_turn for coil in good.unit.coils if coil.winding == "heater")
    per_turn = 1.7241e-8 * mean_turn / (math.pi / 4 * 0.90e-3**2)
    loop = per_turn * (19 + 19 + more)
    expected = (more * _turn_volts(unequal)) ** 2 / loop
    assert unequal.power(0.0) - good.power(0.0) == pytest.approx(expected, rel=0.03)
    assert _turns(unequal, *_HEATER) == pytest.approx(between, abs=0.05)
    strands = 1 / (1 / (19 * per_turn) + 1 / ((19 + more) * per_turn))
    assert ohmmeter(nominal_bench(coastal, f"strands_unequal:heater={more}"), *_HEATER) == pytest.approx(
        strands, rel=1e-5
    )


def test_the_odd_strand_of_three_drives_its_current_through_the_other_two(coastal: Job) -> None:
    job = _in_hand(coastal, "heater", 3)
    good, unequal = _at(job, 230.0), _at(job, 230.0, "strands_unequal")
    same, odd = (coil for coil in unequal.unit.coils if coil.winding == "heater")
    assert (same.turns, odd.turns) == (19, 20)
    assert odd.resistance / same.resistance == pytest.approx(2 * 20 / 19)
    expected = _turn_volts(unequal) ** 2 / (same.resistance + odd.resistance)
    assert unequal.power(0.0) - good.power(0.0) == pytest.approx(expected, rel=0.03)
    # By conductance: two of 19 turns and one of 20.
    assert _turns(unequal, *_HEATER) == pytest.approx((2 + 1) / (2 / 19 + 1 / 20), abs=0.05)


def test_an_odd_strand_alone_has_its_own_turns(coastal: Job) -> None:
    bench = _at(coastal, 230.0, "strands_unequal", "strand_open")
    assert _turns(bench, *_HEATER) == pytest.approx(20.0, abs=0.05)
    assert bench.power(0.0) == pytest.approx(_at(coastal, 230.0).power(0.0), rel=1e-3)


def test_a_broken_winding_is_broken_in_every_strand(coastal: Job) -> None:
    assert ohmmeter(nominal_bench(coastal, "strands_unequal", "winding_open:heater"), *_HEATER) > 100e6


@pytest.mark.parametrize("steps", [1, 2, -1, -2])
@pytest.mark.parametrize("winding", ["primary", "heater"])
def test_wire_of_another_size_changes_the_ohms_by_the_square_of_its_steps(
    coastal: Job, winding: str, steps: int
) -> None:
    ends = f"{winding}.start", f"{winding}.finish"
    good, wrong = nominal_bench(coastal), nominal_bench(coastal, f"wire_wrong:{winding}={steps}")
    assert ohmmeter(wrong, *ends) / ohmmeter(good, *ends) == pytest.approx(1.1225 ** (-2 * steps), rel=1e-6)
    fed, fed_good = _at(coastal, 230.0, f"wire_wrong:{winding}={steps}"), _at(coastal, 230.0)
    assert _turns(fed, *_HEATER) == pytest.approx(_turns(fed_good, *_HEATER), rel=1e-4)


def test_a_step_is_one_number_of_the_american_gauge_or_one_size_of_r20() -> None:
    assert pytest.approx(92 ** (1 / 39), rel=5e-4) == SIZE_STEP
    assert pytest.approx(10 ** (1 / 20), rel=5e-4) == SIZE_STEP
    table = [row[0] for row in load_table("wires", "iec")["size_mm"]]
    assert [thick / thin for thin, thick in itertools.pairwise(table)] == pytest.approx(
        [SIZE_STEP] * (len(table) - 1), rel=0.02
    )
