"""How warm the rehearsed unit gets, and what its other testers say."""

from __future__ import annotations

import math

import pytest

from bench.job.model import Job
from bench.rehearsal.heat import Heat
from bench.rehearsal.supply import Source
from bench.rehearsal.wiring import Excitation
from tests.rehearsal.benches import feed, nominal_bench
from tests.rehearsal.test_hand import FED, Desk

OFF = {"ask": "excite", "volts": "0 V"}


def _one_body() -> Heat:
    # The copper hangs on the iron so closely that both are one: 100 J/K that lose 0.5 W/K.
    return Heat(50.0, 50.0, 1000.0 * 0.01, 0.25, 0.25)


def test_a_body_warms_and_cools_by_its_time_constant() -> None:
    heat = _one_body()
    heat.pass_on(200.0, 10.0, 10.0)  # T = C / G = 200 s; 20 W over 0.5 W/K end at 40 K
    assert heat.copper == pytest.approx(40 * (1 - math.exp(-1)), rel=0.02)
    heat.since(1000.0)
    heat.cool(1200.0)
    assert heat.copper == pytest.approx(40 * (1 - math.exp(-1)) * math.exp(-1), rel=0.04)


def test_in_the_end_what_goes_in_goes_out(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    heat = bench.heat
    heat.pass_on(40 * 3600.0, 4.0, 3.0)
    assert heat.copper * heat.copper_to_room + heat.iron * heat.iron_to_room == pytest.approx(7.0, rel=1e-3)
    assert heat.copper > heat.iron


def test_a_wait_on_power_warms_the_winding_and_its_ohms(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    cold = bench.resistance("primary.start", "primary.finish", 0.0)
    feed(bench, 230.0)
    for winding, ohms in (("ht", 8333.0), ("rectifier", 2.5), ("heater", 2.1)):
        bench.load(winding, ohms, 0.0)
    bench.wait(3600.0, 1.0)
    bench.excite(None, 2.0)
    warm = bench.resistance("primary.start", "primary.finish", 3.0)
    rise = bench.copper_temperature(3.0) - bench.temperature
    assert 8 < rise < 40
    assert warm / cold == pytest.approx(1 + 3.93e-3 * rise, rel=1e-3)
    later = bench.resistance("primary.start", "primary.finish", 600.0)
    assert cold < later < warm


def test_minutes_without_a_wait_leave_it_cold(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    feed(bench, 230.0)
    bench.excite(None, 900.0)
    assert bench.copper_temperature(901.0) == bench.temperature


def test_a_shorted_turn_gets_hotter(coastal: Job) -> None:
    good, shorted = nominal_bench(coastal), nominal_bench(coastal, "turns_shorted=0.02")
    for bench in (good, shorted):
        feed(bench, 230.0)
        bench.wait(1800.0, 1.0)
    assert shorted.heat.copper > 2 * good.heat.copper


def test_a_long_wait_is_answered_at_once_and_a_short_one_by_the_clock(coastal: Job) -> None:
    desk = Desk(coastal, 2)
    desk.ask(FED)
    assert desk.ask({"ask": "wait", "seconds": 1800}) == {"done": True}
    assert desk.bench.heat.iron > 1
    line = b'{"id": "w", "ask": "wait", "seconds": 12}\n'
    assert desk.control.feed(0, line, 50.0) == b""
    assert desk.control.poll(61.9) == []
    assert desk.control.poll(62.0) == [(0, b'{"id": "w", "done": true}\n')]


@pytest.mark.parametrize("seconds", [-1, "long", None, True, 1e9])
def test_a_wait_of_no_time_is_refused(coastal: Job, seconds: object) -> None:
    assert "expected a number from 0" in Desk(coastal, 2).ask({"ask": "wait", "seconds": seconds})["error"]


def _leak(desk: Desk, pair: list[str], volts: str) -> str:
    ask = {"ask": "enter", "quantity": "leakage_current", "between": pair, "volts": volts}
    return str(desk.ask(ask)["value"])


def test_sound_insulation_bears_a_dielectric_test_and_low_insulation_flashes(coastal: Job) -> None:
    good, low = Desk(coastal, 3), Desk(coastal, 3, "insulation_low:primary,ht")
    amps, unit = _leak(good, ["primary", "rest"], "1365 V").split()
    assert unit == "mA"
    assert 0.05 < float(amps) < 2
    assert _leak(low, ["primary", "rest"], "1365 V") == "flashed"
    assert _leak(low, ["ht", "rest"], "1352 V") == "flashed"
    assert _leak(low, ["heater", "rest"], "325 V") != "flashed"
    assert _leak(low, ["primary", "secondaries"], "2730 V") == "flashed"


def test_more_volts_drive_more_through(coastal: Job) -> None:
    desk = Desk(coastal, 3)
    first, second = (float(_leak(desk, ["primary", "rest"], volts).split()[0]) for volts in ("500 V", "1500 V"))
    assert second == pytest.approx(3 * first, rel=0.1)


def test_the_equipment_around_it_has_values_of_its_own(coastal: Job) -> None:
    def typed(seed: int, **ask: object) -> str:
        return str(Desk(coastal, seed).ask({"ask": "enter", **ask})["value"])

    earth = [typed(seed, quantity="earth_resistance", between=["earth pin", "metal"]) for seed in range(4)]
    assert len(set(earth)) > 1
    assert typed(1, quantity="fuse") == "0.5 A"  # the next above 1.25 x 0.35 A
    assert typed(1, quantity="load_resistance", expected="2.1 ohm") == "2.2 ohm"
    assert typed(1, quantity="insulation_resistance", between=["mains pins", "metal"]).endswith("Mohm")
    assert typed(1, quantity="leakage_current", between=["mains", "metal"]).endswith("mA")
    assert typed(1, quantity="noticed") == "good"
    assert typed(1, quantity="stray_field").endswith("uT")


def test_low_insulation_of_the_mains_side_shows_in_the_equipment_too(coastal: Job) -> None:
    desk = Desk(coastal, 1, "insulation_low:primary,core")
    typed = desk.ask({"ask": "enter", "quantity": "insulation_resistance", "between": ["mains pins", "metal"]})["value"]
    assert float(typed.split()[0]) < 0.6


def test_what_gets_hot_smells(coastal: Job) -> None:
    desk = Desk(coastal, 1, "turns_shorted=0.005")
    desk.bench.excite(Excitation("primary.start", "primary.finish", 230.0, Source.VARIAC), 1.0)
    desk.bench.wait(1800.0, 2.0)
    assert "smells" in desk.ask({"ask": "enter", "quantity": "noticed"})["value"]
    assert Desk(coastal, 1).ask({"ask": "enter", "quantity": "noticed"})["value"] == "good"
    core = desk.ask({"ask": "enter", "quantity": "temperature", "place": "core"})["value"]
    air = desk.ask({"ask": "enter", "quantity": "temperature", "place": "air"})["value"]
    assert float(core.split()[0]) > float(air.split()[0]) + 3


def test_seconds_since_the_volts_went_off_are_told(coastal: Job) -> None:
    desk = Desk(coastal, 1)
    assert "nothing was switched off" in desk.ask({"ask": "enter", "quantity": "time"})["error"]
    desk.ask(FED, now=50.0)
    desk.ask(OFF, now=60.0)
    assert desk.ask({"ask": "enter", "quantity": "time"}, now=74.5)["value"] == "14.5 s"
