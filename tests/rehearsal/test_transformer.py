"""The transformer against textbook formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.job.model import Job
from bench.rehearsal.network import Network
from bench.rehearsal.parts import Iron
from bench.rehearsal.solve import orders, rms, solve_steady, waveform
from bench.rehearsal.steel import MU0, Steel
from tests.rehearsal.benches import ammeter, feed, nominal_bench, ohmmeter, solved


def test_voltage_follows_from_flux_by_the_transformer_formula(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    feed(bench, 230.0)
    flux = float(np.max(solved(bench).steady.flux_density))
    # E = 4.4429 f N B A: pi sqrt(2) f N B A, any textbook; the flux is a sine to 0.1 % here.
    expected = 4.4429 * 50 * 1554 * flux * bench.unit.iron.area
    assert bench.voltage("ht.start", "ht.finish", 0.0) == pytest.approx(expected, rel=0.002)


def test_open_windings_share_the_volts_per_turn(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    feed(bench, 230.0)
    per_turn = bench.voltage("primary.start", "primary.finish", 0.0) / 662
    assert bench.voltage("heater.start", "heater.finish", 0.0) == pytest.approx(19 * per_turn, rel=0.002)
    assert bench.voltage("ht.start", "ht.centre", 0.0) == pytest.approx(777 * per_turn, rel=0.002)


def test_exciting_current_is_peaky_past_the_rating(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    ammeter(bench)
    feed(bench, 1.1 * 230.0)
    wave = waveform(solved(bench).current("ammeter"))
    effective = math.sqrt(float(np.mean(wave**2)))
    assert np.max(wave) / effective > 1.8
    # A sine has a form factor of 1.11.
    assert effective / float(np.mean(np.abs(wave))) > 1.2
    assert effective == pytest.approx(bench.current(0.0), rel=1e-3)


def test_power_in_is_copper_loss_and_core_loss(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    ammeter(bench)
    feed(bench, 230.0)
    current = waveform(solved(bench).current("ammeter"))
    power = float(np.mean(current * bench.waveform("primary.start", "primary.finish", 0.0)))
    copper = float(np.mean(current**2)) * ohmmeter(nominal_bench(coastal), "primary.start", "primary.finish")
    assert power == pytest.approx(copper + solved(bench).steady.core_power, rel=1e-4)


def test_deep_saturation_balances_too(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    feed(bench, 120.0, winding="heater")
    fed = solved(bench)
    assert np.max(fed.steady.flux_density) > 1.8
    current = waveform(fed.current("feed wire"))
    power = float(np.mean(current * bench.waveform("heater.start", "heater.finish", 0.0)))
    copper = float(np.mean(current**2)) * ohmmeter(nominal_bench(coastal), "heater.start", "heater.finish")
    assert power == pytest.approx(copper + fed.steady.core_power, rel=1e-3)


def test_core_loss_at_sine_flux_is_the_law_of_the_steel(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    feed(bench, 115.0)
    iron, steady = bench.unit.iron, solved(bench).steady
    law = iron.steel.loss(float(np.max(steady.flux_density)), 50.0) * 7650 * iron.volume
    assert steady.core_power == pytest.approx(law, rel=0.005)


def test_three_voltages_tell_the_power(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    feed(bench, 115.0, series=1000.0)
    total = bench.voltage("resistor.supply", "primary.finish", 0.0)
    resistor = bench.voltage("resistor.supply", "resistor.winding", 0.0)
    winding = bench.voltage("resistor.winding", "primary.finish", 0.0)
    told = (total**2 - resistor**2 - winding**2) / (2 * 1000.0)
    current = waveform(solved(bench).current("series"))
    true = float(np.mean(current * bench.waveform("resistor.winding", "primary.finish", 0.0)))
    assert told == pytest.approx(true, rel=1e-3)


def test_load_current_is_carried_over_by_the_turns_ratio(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    ammeter(bench)
    feed(bench, 230.0)
    idle = bench.current(0.0)
    bench.load("heater", 2.1, 0.0)
    heater = bench.voltage("heater.start", "heater.finish", 0.0) / 2.1
    # In-phase load current and mostly reactive exciting current: between the sum of squares and the plain sum.
    carried = heater * 19 / 662
    assert math.hypot(idle, carried) < bench.current(0.0) < idle + carried


def test_linear_core_answers_like_an_inductance() -> None:
    # A steel that is a plain line: L = N^2 A / (slope x path), then I = V / |R + jwL|.
    line = Steel("line", 0.0, 1.0, 400.0, 1e-30, 11.0, 0.0, 1.6, 0.0, 0.0)
    iron = Iron(line, area=1e-3, path=0.2, gap=0.0, field_scale=1.0, loss_scale=1.0)
    net = Network(earth="n")
    net.source("supply", "a", 30.0, 0.05)
    coil = net.coil("coil", "a", "b", 300.0, 20.0)
    net.inductance(coil, coil, 0.02)
    net.resistor("back", "b", "n", 1.0)
    angular = 2 * math.pi * 50.0
    supply = np.zeros(len(orders()), complex)
    supply[0] = math.sqrt(2) * 10.0
    steady = solve_steady(iron, net.solve(angular * orders()), supply, 50.0, None)
    inductance = 0.05 + 0.02 + 300.0**2 * 1e-3 / (400.0 * 0.2)
    expected = 10.0 / abs(complex(51.0, angular * inductance))
    assert rms(steady.branches[:, net.branch("coil")]) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("name", ["m400-50a", "m530-65a", "nonoriented-unknown"])
def test_field_rises_steadily_and_ends_as_air(name: str) -> None:
    from bench.rehearsal.steel import named_steel

    b = np.linspace(0, 2.6, 400)
    field, slope = named_steel(name).field(b)
    assert np.all(np.diff(field) > 0)
    assert slope[-1] == pytest.approx(1 / MU0)
    assert np.gradient(field, b)[1:-1] == pytest.approx(slope[1:-1], rel=0.03)


def test_each_seed_is_itself_and_no_other(coastal: Job) -> None:
    from bench.rehearsal.variation import draw_variation

    assert draw_variation(coastal, 7) == draw_variation(coastal, 7)
    assert draw_variation(coastal, 7).field_scale != draw_variation(coastal, 8).field_scale


def test_the_limiter_lamp_drops_most_volts_only_into_a_short(coastal: Job) -> None:
    from dataclasses import replace

    healthy, shorted = nominal_bench(coastal), nominal_bench(coastal)
    for bench in (healthy, shorted):
        feed(bench, 230.0)
        assert bench.wiring.excitation is not None
        bench.excite(replace(bench.wiring.excitation, limiter=True), 0.0)
    shorted.load("ht", 0.01, 0.0)
    assert healthy.voltage("primary.start", "primary.finish", 0.0) > 0.9 * 230
    assert shorted.voltage("primary.start", "primary.finish", 0.0) < 0.2 * 230
