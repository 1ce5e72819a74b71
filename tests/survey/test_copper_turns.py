"""Turns that nobody counted, from ohms with wire, room or weight."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.as_found import FoundWinding
from bench.job.core import Core
from bench.magnetics.copper import wire_mass, wire_resistance
from bench.survey.copper_turns import copper_turns, turns_from_section, turns_from_wire, wire_length
from bench.survey.interval import Interval

CORE = Core.model_validate({"lamination": "EI 96", "stack": "45 mm"})


@given(st.floats(1.0, 3000.0), st.floats(0.05e-3, 2e-3))
def test_ohms_and_weight_give_the_length_of_any_wire(length: float, diameter: float) -> None:
    assert wire_length(wire_resistance(length, diameter), wire_mass(length, diameter)) == pytest.approx(length)


def test_length_by_ohms_and_weight_agrees_with_a_wire_table() -> None:
    # Common practice, no source: 0.2 mm copper has 0.549 ohm/m and 8.89 g/cm3 x 0.0314 mm2 = 0.2793 g/m.
    assert wire_length(0.549 * 250, 0.2793e-3 * 250) == pytest.approx(250.0, rel=0.002)


def test_every_way_that_the_evidence_allows_is_taken_the_surest_first() -> None:
    length = 280 * 0.19
    ohms = wire_resistance(length, 0.56e-3)
    winding = FoundWinding.model_validate(
        {
            "name": "primary",
            "wire": "0.56 mm",
            "mean_turn": "190 mm",
            "build": "3.0 mm",
            "length": "39 mm",
            "copper_mass": f"{wire_mass(length, 0.56e-3) * 1e3:.3f} g",
        }
    )
    ways = copper_turns(winding, CORE, Interval(ohms, 0.01 * ohms))
    assert [way.reason for way in ways] == [
        "weight and ohms of the copper",
        "ohms, wire and mean turn",
        "ohms and room of the winding",
    ]
    assert ways[0].turns.value == pytest.approx(280.0, rel=1e-3)
    for way in ways:
        assert way.turns.low < 280 < way.turns.high


def test_an_error_in_the_wire_counts_double_and_one_in_the_room_by_half() -> None:
    # N = R a / (rho l): a goes with d squared.  From the room, N goes with its root.
    ohms, turn = Interval(3.4, 0.0), Interval(0.19, 0.0)
    thin, thick = (turns_from_wire(ohms, d, 1, turn).value for d in (0.50e-3, 0.55e-3))
    assert thick / thin == pytest.approx(1.21)
    small, large = (turns_from_section(ohms, s, turn).value for s in (100e-6, 121e-6))
    assert large / small == pytest.approx(1.1)


def test_for_a_filled_room_the_ohms_go_with_the_fourth_power_of_the_wire() -> None:
    # Published by restorers (vintage-radio.net p=1171650): in a given room, ohms go as 1/d^4.
    turn, section = Interval(0.2, 0.0), 80e-6

    def ohms(diameter: float) -> float:
        return wire_resistance(0.6 * section / (math.pi / 4 * diameter**2) * 0.2, diameter)

    assert ohms(0.2e-3) / ohms(0.4e-3) == pytest.approx(16.0)
    for diameter in (0.2e-3, 0.4e-3):
        turns = 0.6 * section / (math.pi / 4 * diameter**2)
        assert turns_from_section(Interval(ohms(diameter), 0.0), section, turn).value == pytest.approx(turns)


def test_without_ohms_or_a_core_there_is_nothing_to_say() -> None:
    winding = FoundWinding.model_validate({"name": "ht", "wire": "0.18 mm"})
    assert copper_turns(winding, CORE, None) == ()
    assert copper_turns(winding, Core(), Interval(100.0, 1.0)) == ()
