"""Turns per volt and its covariance, against Monte Carlo and against the library `uncertainties`."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import uncertainties
from uncertainties import umath

from bench.survey.network import Network, Observation
from tests.survey.units import BENCH_METER, HAND_HELD, RULES, TRUE, Unit


@pytest.mark.parametrize("accuracy", [BENCH_METER, HAND_HELD])
def test_the_covariance_is_that_of_a_monte_carlo(accuracy: object) -> None:
    # Given the network's own sources of doubt, drawn anew 2500 times; each draw is solved by plain weighted least
    # squares on the drawn values.  JCGM 101:2008 (propagation of distributions).
    network = Unit(accuracy=accuracy).network()  # type: ignore[arg-type]
    rng = np.random.default_rng(20261125)
    sources = sorted({source for one in network.observations for source in one.parts})
    solved = []
    for _ in range(2500):
        draw = dict(zip(sources, rng.standard_normal(len(sources)), strict=True))
        moved = [
            replace(one, y=one.y + sum(part * draw[source] for source, part in one.parts.items()))
            for one in network.observations
        ]
        solved.append(Network(moved, network.windings).solve().mean)
    found = network.solve()
    empirical = np.cov(np.array(solved).T)
    # 2500 draws tell a standard deviation to 1.4 %; four of those.
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(np.sqrt(np.diag(empirical)), rel=0.057)
    correlation = found.covariance[0, 1] / math.sqrt(found.covariance[0, 0] * found.covariance[1, 1])
    drawn = empirical[0, 1] / math.sqrt(empirical[0, 0] * empirical[1, 1])
    assert correlation == pytest.approx(drawn, abs=0.05)


def test_one_count_and_one_pair_of_readings_agree_with_uncertainties() -> None:
    # `uncertainties` 3.2 propagates the same sources through the closed formula: N ht = N primary (1 - d) V ht / V fed.
    unit = Unit(true={"primary": 280.0, "ht": 1292.0}, counts={"ht": None}, accuracy=HAND_HELD)
    network = unit.network()
    count, volts = network.observations
    shared = {source: uncertainties.ufloat(0, 1, tag=source) for one in (count, volts) for source in one.parts}
    log_primary = count.y + sum(part * shared[s] for s, part in count.parts.items())
    log_ratio = volts.y + sum(part * shared[s] for s, part in volts.parts.items())
    expected = umath.exp(log_primary + log_ratio)
    found = network.solve()
    assert found.turns("ht") == pytest.approx(expected.nominal_value, rel=1e-4)
    assert found.turns("ht") * found.u_log("ht") == pytest.approx(expected.std_dev, rel=1e-3)


def test_the_gain_of_one_range_cancels_in_a_ratio_and_two_ranges_keep_theirs() -> None:
    # JCGM 100:2008, 5.2.2: fully correlated gains drop out of a quotient.
    same = Unit(true={"primary": 280.0, "twin": 290.0}, counts={"twin": None}, accuracy=HAND_HELD).network().solve()
    other = Unit(true={"primary": 280.0, "low": 20.0}, counts={"low": None}, accuracy=HAND_HELD).network().solve()
    gain = HAND_HELD.voltage_ac.of_reading / math.sqrt(3)
    assert same.u_log("twin") < 0.7 * gain
    assert other.u_log("low") > math.sqrt(2) * 0.95 * gain


def test_more_windings_counted_make_turns_per_volt_sharper() -> None:
    few = Unit(counts={"ht": None, "rectifier": None, "heater": None}, accuracy=HAND_HELD).survey()
    many = Unit(accuracy=HAND_HELD).survey()
    alone = Unit(counts={"primary": None, "ht": None, "rectifier": None}, accuracy=HAND_HELD).survey()
    assert many.turns_per_volt is not None
    assert few.turns_per_volt is not None
    assert alone.turns_per_volt is not None
    assert many.turns_per_volt.u < few.turns_per_volt.u < alone.turns_per_volt.u
    assert many.turns_per_volt.value == pytest.approx(280 / 117 / 0.996, rel=1e-3)


def test_the_true_turns_lie_in_the_interval_as_often_as_it_says() -> None:
    # 400 units, readings drawn from what the meter's leaflet allows, one winding not counted: U with k = 2 holds the
    # truth in at least 95 % (leaflet limits are rectangular, so in more).
    rng = np.random.default_rng(7)
    inside = 0
    for _ in range(400):
        gain = 1 + HAND_HELD.voltage_ac.of_reading * rng.uniform(-1, 1)
        drop = RULES["drop"]["fraction"] + RULES["drop"]["u"] * rng.standard_normal()
        unit = Unit(
            counts={"heater": None},
            reference=1 + HAND_HELD.voltage_ac.of_reading * rng.uniform(-1, 1),
            readings={"heater": gain, "rectifier": gain},
            drop=drop,
            accuracy=HAND_HELD,
        )
        found = unit.network().solve()
        wide = 2 * found.u_log("heater")
        inside += abs(found.mean[found.windings.index("heater")] - math.log(TRUE["heater"])) <= wide
    assert inside >= 0.95 * 400


def test_before_anything_is_counted_ratios_are_known_and_turns_are_not() -> None:
    survey = Unit(counts=dict.fromkeys(TRUE)).survey(core={})
    assert survey.turns_per_volt is None
    assert all(one.expected is None for one in survey.windings)


def test_the_core_gives_a_first_guess_and_the_first_count_a_sharp_expectation() -> None:
    blind = Unit(counts=dict.fromkeys(TRUE)).survey()
    guess = blind.winding("heater").expected
    assert guess is not None
    assert blind.winding("heater").expected_from == "the core at the usual flux density"
    assert guess.low < 16 < guess.high
    assert guess.expanded > 3
    assert blind.next_winding == "heater"
    counted = Unit(counts={"primary": None, "ht": None, "rectifier": None}).survey()
    assert counted.next_winding == "rectifier"
    expected = counted.winding("rectifier").expected
    assert expected is not None
    assert expected.value == pytest.approx(13.0, abs=0.1)
    assert expected.expanded < 0.3


def test_a_search_coil_tells_turns_before_anything_is_stripped() -> None:
    coil = {"name": "coil", "turns": 5.0, "search_coil": True}
    # Part volts: 30 V on the primary and 5 turns that give 0.5336 V; both stand for the same moment.
    volts = {"fed": "primary", "fed_voltage": "30.00 V", "winding": "coil", "voltage": "0.5336 V"}
    more = {
        "winding": [*({"name": n, "role": "primary" if n == "primary" else "secondary"} for n in TRUE), coil],
        "volts": [volts],
    }
    survey = Unit(counts=dict.fromkeys(TRUE), more=more).survey()
    expected = survey.winding("primary").expected
    assert expected is not None
    assert expected.value == pytest.approx(280.0, rel=0.005)
    assert survey.turns_per_volt is not None


def test_volts_per_turn_are_scaled_from_a_part_voltage_test() -> None:
    # A published case: 76 V on a 120 V winding, 3 turns give 0.93 V: 245 turns, not 387
    # (physicsforums.com, finding-transformer-turns.637642).
    more = {
        "winding": [
            {"name": "primary", "role": "primary", "nameplate_voltage": "120 V"},
            {"name": "coil", "turns": 3.0, "search_coil": True},
        ],
        "volts": [{"fed": "primary", "fed_voltage": "76.0 V", "winding": "coil", "voltage": "0.93 V"}],
    }
    expected = Unit(more=more).survey().winding("primary").expected
    assert expected is not None
    assert expected.value == pytest.approx(245 * 0.996, abs=0.5)  # less the drop in the fed winding


def test_a_current_ratio_counts_a_winding_that_nobody_can() -> None:
    # Published: one thick turn carries 2 A while the shorted winding carries 2 mA: 1000 turns (RADIO 1949, 1/2).
    more = {
        "winding": [{"name": "ht", "role": "secondary"}],
        "volts": [],
        "fed": "ht",
        "current_ratio": [{"winding": "ht", "current": "2.000 mA", "coil_current": "2.000 A"}],
    }
    expected = Unit(more=more).survey().winding("ht").expected
    assert expected is not None
    assert expected.value == pytest.approx(1000.0, rel=1e-3)
    assert 0.01 < expected.relative < 0.05


def test_an_observation_is_a_sum_of_logarithms() -> None:
    one = Observation("count", "a", "", {"a": 1.0}, math.log(100.0), {"count a": 0.003})
    found = Network([one], ["a"]).solve()
    assert found.turns("a") == pytest.approx(100.0, rel=1e-5)
    assert found.u_log("a") == pytest.approx(0.003, rel=1e-3)


def test_a_winding_of_300_0_300_volts_is_one_of_600_with_a_tap_whose_turn_is_not_known_yet() -> None:
    half = {"fed": "primary", "fed_voltage": "30.00 V", "winding": "ht.centre", "voltage": "69.2 V"}
    more = {
        "winding": [
            {"name": "primary", "role": "primary", "turns": 280.0, "nameplate_voltage": "117 V"},
            {"name": "ht", "role": "secondary", "nameplate_voltage": "300-0-300 V"},
        ],
        "volts": [half, {**half, "winding": "ht", "voltage": "138.4 V"}],
    }
    unit = Unit(more=more)
    ht = unit.found().get_winding("ht")
    assert ht.nameplate_voltage == 600.0
    assert [tap.name for tap in ht.taps] == ["centre"]
    expected = unit.survey().winding("ht").expected
    assert expected is not None
    assert expected.value == pytest.approx(280 / 0.996 * 138.4 / 30.0, rel=0.01)
