"""Steel that lost its quality, and laminations that touch."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.job.model import Job
from bench.rehearsal.solve import Steady, waveform
from bench.rehearsal.workbench import Workbench
from tests.rehearsal.benches import ammeter, feed, nominal_bench, solved


def _at(job: Job, volts: float, *faults: str) -> Workbench:
    bench = nominal_bench(job, *faults)
    ammeter(bench)
    feed(bench, volts)
    return bench


def _steady(bench: Workbench) -> Steady:
    return solved(bench).steady


def _peak(bench: Workbench) -> float:
    return float(np.max(_steady(bench).flux_density))


def _law(bench: Workbench) -> float:
    """Watts of good steel at the peak that this bench has."""
    iron = bench.unit.iron
    return iron.steel.loss(_peak(bench), 50.0) * 7650 * iron.volume


@pytest.mark.parametrize("factor", [1.2, 1.5, 2.5])
def test_degraded_steel_loses_its_factor_more_at_the_same_flux(coastal: Job, factor: float) -> None:
    bench = _at(coastal, 230.0, f"core_steel_degraded={factor}")
    assert _peak(bench) == pytest.approx(_peak(_at(coastal, 230.0)), rel=0.003)
    assert _steady(bench).core_power == pytest.approx(factor * _law(bench), rel=0.01)


def test_degraded_steel_needs_the_root_of_its_factor_more_field(coastal: Job) -> None:
    good, bad = _at(coastal, 230.0), _at(coastal, 230.0, "core_steel_degraded=2.25")
    assert bad.unit.iron.field_scale / good.unit.iron.field_scale == pytest.approx(1.5)
    # Where the flux is greatest, nothing opposes its change: the ampere turns there are those of the field alone.
    peaks = []
    for bench in (good, bad):
        steady = _steady(bench)
        top = int(np.argmax(steady.flux_density))
        field, _ = bench.unit.iron.steel.field(steady.flux_density)
        current = waveform(solved(bench).current("ammeter"))[: len(steady.flux_density)]
        peaks.append((662 * abs(current[top]) / bench.unit.iron.path, float(field[top])))
    assert peaks[1][0] / peaks[1][1] == pytest.approx(1.5 * peaks[0][0] / peaks[0][1], rel=0.03)


def test_faults_of_the_steel_multiply(coastal: Job) -> None:
    bench = nominal_bench(coastal, "core_steel_degraded=1.5", "core_steel_degraded=2")
    assert bench.unit.iron.loss_scale == pytest.approx(3.0)
    assert bench.unit.iron.field_scale == pytest.approx(math.sqrt(3.0))


@pytest.mark.parametrize("share", [0.2, 0.5, 2.0])
def test_bridged_laminations_add_their_share_at_nominal_and_a_quarter_at_half(coastal: Job, share: float) -> None:
    fault = f"laminations_bridged={share * 100:g} %"
    stated = share * _law(_at(coastal, 230.0))
    for volts, part in ((230.0, 1.0), (115.0, 0.25)):
        good, bridged = _at(coastal, volts), _at(coastal, volts, fault)
        assert bridged.power(0.0) - good.power(0.0) == pytest.approx(part * stated, rel=0.02)
        assert _steady(bridged).core_power - _steady(good).core_power == pytest.approx(part * stated, rel=0.02)


def test_bridged_laminations_leave_the_ratios(coastal: Job) -> None:
    good, bridged = _at(coastal, 230.0), _at(coastal, 230.0, "laminations_bridged=200 %")
    ratios = []
    for bench in (good, bridged):
        volts = [bench.voltage(f"{name}.start", f"{name}.finish", 0.0) for name in ("primary", "ht", "heater")]
        ratios.append([volts[1] / volts[2], volts[1] / volts[0]])
    assert ratios[1][0] == pytest.approx(ratios[0][0], rel=1e-5)
    # What the current of three times the watts drops in the primary's own ohms is all that a ratio to it shows.
    assert ratios[1][1] == pytest.approx(ratios[0][1], rel=3e-3)


def test_bridging_is_measured_by_the_good_core(coastal: Job) -> None:
    alone = nominal_bench(coastal, "laminations_bridged").unit.iron.bridge
    assert alone > 0
    assert nominal_bench(coastal, "laminations_bridged", "core_steel_degraded=2").unit.iron.bridge == alone
    assert nominal_bench(coastal, "laminations_bridged", "laminations_bridged").unit.iron.bridge == 2 * alone
