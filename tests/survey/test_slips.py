"""A planted miscount, half turn and wrong reference are each named, and a good unit is left in peace."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.survey.sentences import says
from bench.survey.slips import Explanation, SlipKind, explanations
from tests.survey.units import BENCH_METER, HAND_HELD, RULES, TRUE, Unit


def _top(unit: Unit) -> Explanation:
    return explanations(unit.network(), RULES["priors"])[0]


def test_a_good_unit_has_no_slip() -> None:
    assert _top(Unit()).kind is SlipKind.NONE
    assert _top(Unit(accuracy=HAND_HELD)).kind is SlipKind.NONE


@pytest.mark.parametrize("winding", ["rectifier", "heater"])
@pytest.mark.parametrize("turns", [-2, -1, 1, 2])
def test_a_planted_miscount_is_named_with_its_size(winding: str, turns: int) -> None:
    top = _top(Unit(counts={winding: TRUE[winding] + turns}))
    assert (top.kind, top.winding, top.size) == (SlipKind.MISCOUNT, winding, turns)
    assert top.probability > 0.8


@pytest.mark.parametrize("winding", ["rectifier", "heater"])
@pytest.mark.parametrize("half", [-0.5, 0.5])
def test_a_planted_half_turn_is_named(winding: str, half: float) -> None:
    # In truth the winding has half a turn more (less) than the whole turns that were counted.
    true = dict(TRUE)
    true[winding] -= half
    top = _top(Unit(true=true, counts={winding: TRUE[winding]}))
    assert (top.kind, top.winding, top.size) == (SlipKind.HALF_TURN, winding, half)
    assert top.probability > 0.7


@pytest.mark.parametrize("reference", [0.94, 0.97, 1.03, 1.06])
def test_a_planted_wrong_reference_is_named_with_its_percent(reference: float) -> None:
    top = _top(Unit(reference=reference))
    assert (top.kind, top.winding) == (SlipKind.REFERENCE, "primary")
    assert top.size == pytest.approx(reference - 1, abs=0.004)
    assert top.probability > 0.7


def test_a_planted_slip_in_one_reading_is_named_where_it_is_no_whole_turn() -> None:
    top = _top(Unit(readings={"rectifier": 1.019}))
    assert (top.kind, top.winding) == (SlipKind.READING, "rectifier")


def test_a_lost_layer_is_told_with_about_its_turns() -> None:
    survey = Unit(counts={"ht": 1292.0 - 97.0}).survey()
    lost = next(one for one in survey.slips if one.kind is SlipKind.LOST_COUNT)
    assert lost.winding == "ht"
    assert lost.size == pytest.approx(-97.0, abs=2 * lost.u_size)
    assert lost.u_size < 10
    lines = next(one.lines for one in says(survey) if one.heading == "What disagrees")
    assert any("the count of ht was lost on the way, by about 97 turns too few" in line for line in lines)


@pytest.mark.parametrize(("factor", "shown"), [(10.0, "900 %"), (0.1, "90 %"), (1.3, "30 %")])
def test_a_slipped_decimal_is_told_by_its_own_percent(factor: float, shown: str) -> None:
    survey = Unit(readings={"heater": factor}).survey()
    lines = next(one.lines for one in says(survey) if one.heading == "What disagrees")
    assert any(f"the reading of heater is off by {shown}" in line for line in lines)


def test_two_slips_at_once_are_told_as_more_than_one_and_no_turns_per_volt_is_given() -> None:
    survey = Unit(counts={"rectifier": 14.0, "heater": 15.0}).survey()
    assert survey.more_than_one
    assert survey.turns_per_volt is None
    lines = next(one.lines for one in says(survey) if one.heading == "What disagrees")
    assert any("More than one thing is wrong" in line for line in lines)
    told = "\n".join(lines)
    assert "  rectifier: +1." in told
    assert "  heater: -1." in told


@pytest.mark.parametrize("turns", [-25, -12, -6, 6, 12, 20, 30])
def test_a_primary_that_was_miscounted_leaves_turns_per_volt_open_as_far_as_it_is(turns: int) -> None:
    # Its count and the volts on it are one and the same to every other reading: the truth stays within the interval.
    survey = Unit(counts={"primary": 280.0 + turns}).survey()
    assert survey.disagrees
    assert survey.turns_per_volt is not None
    truth = 280 / (117 * 0.996)
    assert survey.turns_per_volt.low <= truth <= survey.turns_per_volt.high
    said = "\n".join(line for one in says(survey) for line in one.lines)
    assert "Either the volts on primary" in said
    assert "or its own count is off" in said


def test_a_tap_at_the_wrong_turn_is_named_and_the_whole_left_in_peace() -> None:
    top = _top(_tapped(tap=640, whole=1292.0))
    assert (top.kind, top.winding) == (SlipKind.TAP, "ht.centre")
    assert top.size == pytest.approx(-6, abs=3)


def test_a_tapped_winding_with_too_many_turns_is_counted_once() -> None:
    unit = _tapped(tap=646, whole=1302.0)
    found = explanations(unit.network(), RULES["priors"])
    named = [(one.kind, one.winding) for one in found[:3]]
    assert any(winding == "ht.finish" for _, winding in named)
    good = explanations(_tapped(tap=646, whole=1292.0).network(), RULES["priors"])[0]
    assert good.kind is SlipKind.NONE


def test_half_a_turn_in_a_file_is_refused_where_it_is_read() -> None:
    with pytest.raises(ValueError, match="greater than or equal to 1"):
        Unit(counts={"heater": 0.5}).found()


def _tapped(tap: int, whole: float) -> Unit:
    """A high-voltage winding with its tap at 646 of 1292 turns, counted at `tap` of `whole`, and read by halves."""
    half = 97.5 * 0.996 * 646 / 280
    more = {
        "winding": [
            {"name": "primary", "role": "primary", "turns": 280.0, "nameplate_voltage": "117 V"},
            {"name": "ht", "role": "secondary", "turns": whole, "taps": [{"name": "centre", "turn": tap}]},
            {"name": "rectifier", "role": "secondary", "turns": 13.0},
            {"name": "heater", "role": "secondary", "turns": 16.0},
        ],
        "volts": [
            {"fed": "primary", "fed_voltage": "97.50 V", "winding": "ht.centre", "voltage": f"{half:.2f} V"},
            {"fed": "primary", "fed_voltage": "97.50 V", "winding": "ht.finish", "voltage": f"{half:.2f} V"},
            {"fed": "primary", "fed_voltage": "97.50 V", "winding": "ht", "voltage": f"{2 * half:.1f} V"},
            {"fed": "primary", "fed_voltage": "97.50 V", "winding": "rectifier", "voltage": f"{half * 13 / 646:.4f} V"},
            {"fed": "primary", "fed_voltage": "97.50 V", "winding": "heater", "voltage": f"{half * 16 / 646:.4f} V"},
        ],
    }
    return Unit(true={**TRUE, "ht.centre": 646.0, "ht.finish": 646.0}, more=more)


def test_two_windings_that_disagree_leave_it_open_which() -> None:
    unit = Unit(true={"primary": 280.0, "heater": 16.0}, counts={"heater": 17.0})
    found = explanations(unit.network(), RULES["priors"])
    assert found[0].kind is not SlipKind.NONE
    named = {(one.kind, one.winding) for one in found if one.probability > 0.02}
    assert (SlipKind.MISCOUNT, "heater") in named
    assert len(named) > 1


def test_the_answers_leave_out_what_disagrees() -> None:
    wrong = Unit(counts={"heater": 17.0}).survey()
    right = Unit().survey()
    assert wrong.turns_per_volt is not None
    assert right.turns_per_volt is not None
    assert wrong.turns_per_volt.value == pytest.approx(right.turns_per_volt.value, rel=1e-3)


def test_good_units_read_within_the_leaflet_raise_few_alarms() -> None:
    rng = np.random.default_rng(3)
    alarms = 0
    for _ in range(120):
        limit = BENCH_METER.voltage_ac.of_reading
        readings = {name: 1 + limit * rng.uniform(-1, 1) for name in TRUE}
        alarms += _top(Unit(readings=readings)).kind is not SlipKind.NONE
    assert alarms <= 0.05 * 120


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(["primary", "ht", "rectifier", "heater"]), st.integers(-9, 9))
def test_probabilities_add_up_to_one_whatever_was_counted(winding: str, turns: int) -> None:
    counted = max(1.0, TRUE[winding] + turns)
    found = explanations(Unit(counts={winding: counted}).network(), RULES["priors"])
    assert sum(one.probability for one in found) == pytest.approx(1.0)
    assert [one.probability for one in found] == sorted((one.probability for one in found), reverse=True)


def test_it_is_said_as_a_restorer_would_say_it() -> None:
    lines = [line for one in says(Unit(reference=1.06).survey()) for line in one.lines]
    assert any("the same 6.0 % against primary: the reference is wrong" in line for line in lines)
    lines = [line for one in says(Unit(counts={"heater": 17.0}).survey()) for line in one.lines]
    assert any("heater was miscounted by 1 turn, too many" in line for line in lines)
