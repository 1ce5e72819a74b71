"""What each fault does to the readings."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.job.model import Job
from bench.rehearsal.solve import waveform
from bench.rehearsal.steel import MU0
from bench.rehearsal.wiring import Connection, Quantity
from bench.rehearsal.workbench import Workbench
from tests.rehearsal.benches import ammeter, feed, nominal_bench, ohmmeter, solved


def _power(bench: Workbench) -> float:
    current = waveform(solved(bench).current("ammeter"))
    return float(np.mean(current * bench.waveform("primary.start", "primary.finish", 0.0)))


def _at_230(job: Job, *faults: str) -> Workbench:
    bench = nominal_bench(job, *faults)
    ammeter(bench)
    feed(bench, 230.0)
    return bench


def _turn_voltage(bench: Workbench) -> float:
    return bench.voltage("ht.start", "ht.finish", 0.0) / 1554


def test_a_shorted_turn_burns_its_voltage_squared_over_its_resistance(coastal: Job) -> None:
    healthy, shorted = _at_230(coastal), _at_230(coastal, "turns_shorted=0.05")
    coil = next(coil for coil in shorted.unit.coils if coil.turns == 1)
    expected = _turn_voltage(shorted) ** 2 / (coil.resistance + 0.05)
    assert _power(shorted) - _power(healthy) == pytest.approx(expected, rel=0.02)


def test_a_closed_screen_burns_power(coastal: Job) -> None:
    healthy, closed = _at_230(coastal), _at_230(coastal, "screen_closed")
    foil = next(coil for coil in closed.unit.coils if coil.winding == "screen")
    expected = _turn_voltage(closed) ** 2 / (foil.resistance + 0.01)
    assert _power(closed) - _power(healthy) == pytest.approx(expected, rel=0.02)


def test_a_gap_asks_for_its_own_ampere_turns(coastal: Job) -> None:
    healthy, gapped = _at_230(coastal), _at_230(coastal, "core_gap=0.05 mm")
    peak = float(np.max(solved(gapped).steady.flux_density))
    more = np.max(waveform(solved(gapped).current("ammeter"))) - np.max(waveform(solved(healthy).current("ammeter")))
    assert 662 * more == pytest.approx(peak * 0.05e-3 / MU0, rel=0.05)


def test_a_short_stack_works_at_more_flux(coastal: Job) -> None:
    healthy, short = _at_230(coastal), _at_230(coastal, "core_stack_short=10 %")
    ratio = np.max(solved(short).steady.flux_density) / np.max(solved(healthy).steady.flux_density)
    assert ratio == pytest.approx(1 / 0.9, rel=0.005)
    assert short.current(0.0) > 1.2 * healthy.current(0.0)


@pytest.mark.parametrize(
    ("fault", "begin", "end", "turns"),
    [
        ("turns_wrong:heater=2", "heater.start", "heater.finish", 21),
        ("turns_wrong:ht.centre=-5", "ht.start", "ht.centre", 772),
        ("turns_wrong:ht.centre=-5", "ht.start", "ht.finish", 1549),
        ("leads_swapped:heater,rectifier", "heater.start", "heater.finish", 15),
        ("leads_swapped:heater,rectifier", "rectifier.start", "rectifier.finish", 19),
        ("winding_reversed:ht.centre", "ht.start", "ht.finish", 0),
        ("winding_reversed:heater", "heater.start", "heater.finish", 19),
        ("winding_open:heater", "heater.start", "heater.finish", 0),
        ("none", "ht.centre", "ht.finish", 777),
    ],
)
def test_leads_carry_the_turns_that_are_truly_between_them(
    coastal: Job, fault: str, begin: str, end: str, turns: int
) -> None:
    bench = nominal_bench(coastal, fault)
    bench.connect(Connection(Quantity.VOLTAGE_AC, begin, end), (), 0.0)
    feed(bench, 230.0)
    per_turn = bench.voltage("primary.start", "primary.finish", 0.0) / 662
    assert bench.voltage(begin, end, 0.0) / per_turn == pytest.approx(turns, abs=0.3 if turns < 50 else 2)


@pytest.mark.parametrize(
    ("fault", "link", "begin", "end", "turns"),
    [
        ("none", ("primary.finish", "heater.start"), "primary.start", "heater.finish", 662 + 19),
        ("none", ("primary.finish", "heater.finish"), "primary.start", "heater.start", 662 - 19),
        ("winding_reversed:heater", ("primary.finish", "heater.start"), "primary.start", "heater.finish", 662 - 19),
        ("winding_reversed:primary", ("primary.finish", "heater.start"), "primary.start", "heater.finish", 662 - 19),
    ],
)
def test_windings_in_series_add_or_oppose(
    coastal: Job, fault: str, link: tuple[str, str], begin: str, end: str, turns: int
) -> None:
    bench = nominal_bench(coastal, fault)
    bench.connect(Connection(Quantity.VOLTAGE_AC, begin, end), (link,), 0.0)
    feed(bench, 10.0, winding="ht")
    # The primary carries no current here, so its volts are volts per turn without a drop.
    per_turn = bench.voltage("primary.start", "primary.finish", 0.0) / 662
    assert bench.voltage(begin, end, 0.0) / per_turn == pytest.approx(turns, abs=1)


def test_a_broken_wire_has_no_path(coastal: Job) -> None:
    bench = nominal_bench(coastal, "winding_open:ht.centre")
    assert ohmmeter(bench, "ht.start", "ht.centre") > 100e6
    assert ohmmeter(bench, "ht.centre", "ht.finish") == pytest.approx(110.9, rel=0.05)


def test_swapped_leads_show_the_other_resistance(coastal: Job) -> None:
    healthy, swapped = nominal_bench(coastal), nominal_bench(coastal, "leads_swapped:ht,primary")
    assert ohmmeter(swapped, "primary.start", "primary.finish") == pytest.approx(
        ohmmeter(healthy, "ht.start", "ht.finish")
    )


def test_resistance_is_resistivity_times_length_over_section(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    coil = bench.unit.coils[0]
    expected = 1.7241e-8 * 662 * coil.mean_turn / (math.pi / 4 * 0.40e-3**2)
    assert ohmmeter(bench, "primary.start", "primary.finish") == pytest.approx(expected, rel=1e-6)
    bench.temperature = 313.15
    assert bench.resistance("primary.start", "primary.finish") == pytest.approx(expected * 1.0786, rel=1e-4)


@pytest.mark.parametrize(
    ("fault", "frequency", "distortion"),
    [("supply_wrong", 60.0, 0.0), ("supply_wrong=55 Hz", 55.0, 0.0), ("supply_wrong=8 %", 50.0, 0.08)],
)
def test_a_wrong_supply_is_wrong(coastal: Job, fault: str, frequency: float, distortion: float) -> None:
    mains = nominal_bench(coastal, fault).mains
    assert mains.frequency == frequency
    assert mains.distortion == pytest.approx(distortion)


def test_an_ammeter_across_a_winding_shorts_it(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    bench.connect(Connection(Quantity.CURRENT_AC, "heater.start", "heater.finish"), (), 0.0)
    feed(bench, 230.0)
    assert bench.current(0.0) > 15
