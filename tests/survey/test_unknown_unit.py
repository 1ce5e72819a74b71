"""An unknown unit: the volts to begin with, and what it can carry, each with its reason."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.core import Core
from bench.magnetics.emf import flux_density
from bench.survey.first_volts import HANDS_OFF_VOLTS, first_volts, guessed_turns
from bench.survey.rating import by_core_area, by_heat
from bench.survey.sentences import says
from bench.survey.survey import Survey
from tests.survey.units import RULES, Unit

CORE = Core.model_validate({"lamination": "EI 96", "stack": "45 mm"})


def test_ohms_alone_guess_the_turns_within_a_factor_of_two() -> None:
    # A unit of ours: 280 turns of 3.42 ohm, 1292 of 176 ohm, 13 of 0.062 ohm, 16 of 0.049 ohm on this core.
    for ohms, turns in ((3.42, 280), (176.0, 1292), (0.062, 13), (0.049, 16)):
        guess = guessed_turns(ohms, 4, CORE)
        assert guess is not None
        assert guess.low < turns < guess.high
        assert 0.5 < guess.value / turns < 3


@given(st.dictionaries(st.sampled_from("abcde"), st.floats(0.02, 3000.0), min_size=1))
def test_first_volts_pass_no_terminal_above_25_v_and_saturate_nothing(ohms: dict[str, float]) -> None:
    first = first_volts(ohms, CORE, 50.0, RULES, {})
    assert first is not None
    assert first.highest <= HANDS_OFF_VOLTS * 1.0001
    assert ohms[first.winding] == max(ohms.values())
    # Were the turns only half of what the ohms say, the core still runs far below its knee.
    half = first.turns[first.winding].value / 2
    assert flux_density(first.volts, 50.0, half, 1.339e-3) < 0.6


def _unknown(**more: Any) -> Survey:
    table = {
        "winding": [{"name": "one"}, {"name": "two"}],
        "volts": [],
        "fed": "one",
        "resistance": [{"winding": "one", "resistance": "3.4 ohm"}, {"winding": "two", "resistance": "180 ohm"}],
        "insulation": [{"winding": "one", "resistance": "90 Mohm"}, {"winding": "two", "resistance": "90 Mohm"}],
    }
    return Unit(more={**table, **more}).survey()


def _first_lines(survey: Survey) -> str:
    return "\n".join(line for one in says(survey) if one.heading == "First volts" for line in one.lines)


def test_the_winding_with_the_most_turns_is_fed_and_the_highest_volts_are_told() -> None:
    survey = _unknown()
    assert survey.first is not None
    assert survey.first.winding == "two"
    said = _first_lines(survey)
    assert "Feed two and nothing else, through a limiter" in said
    assert f"puts {survey.first.highest:.0f} V on some terminal" in said


def test_a_winding_that_nobody_measured_may_have_the_most_turns_so_nothing_is_said() -> None:
    survey = _unknown(resistance=[{"winding": "one", "resistance": "3.4 ohm"}])
    assert survey.first is None
    assert _first_lines(survey) == ""
    assert any("first volts rest on all of them" in line for line in survey.missing)


@pytest.mark.parametrize(
    ("insulation", "why"),
    [
        ([], "insulation of one and two was not read"),
        ([{"winding": "one", "resistance": "90 Mohm"}], "insulation of two was not read"),
        (
            [{"winding": "one", "resistance": "90 Mohm"}, {"winding": "two", "resistance": "0.2 Mohm"}],
            "insulation of two is low",
        ),
    ],
)
def test_nothing_is_fed_before_insulation_was_read_and_is_good(insulation: list[dict[str, str]], why: str) -> None:
    assert _first_lines(_unknown(insulation=insulation)) == f"Feed nothing yet: {why}."


def test_after_volts_were_read_nothing_more_is_said_of_first_ones() -> None:
    assert Unit().survey().first is None


def test_the_area_rule_is_that_of_the_handbook() -> None:
    # Reference Data for Radio Engineers, 2nd ed. 1946, as tabulated in public notes: VA = 26 A2 with A in square
    # inches at 50 Hz, 31.1 at 60 Hz (smoke.com.au/~ic/ham/transformers/used_transformers.html).
    tongue = {"tongue": "1 in", "window_width": "0.5 in", "window_height": "1.5 in"}
    inch = Core.model_validate({**tongue, "stack": "1 in", "stacking_factor": 1.0})
    at_50, at_60 = (by_core_area(inch, f, RULES["rating"]) for f in (50.0, 60.0))
    assert at_50 is not None
    assert at_60 is not None
    assert at_50.power.value == pytest.approx(25.95, rel=0.005)
    assert at_60.power.value == pytest.approx(31.1, rel=0.005)


def test_a_label_of_twice_the_truth_is_doubted_by_heat() -> None:
    modest = by_heat(CORE, 7.0, 6.0, 85.0, 60.0)
    boasting = by_heat(CORE, 7.0, 6.0 * 4, 170.0, 60.0)
    assert modest is not None
    assert boasting is not None
    assert boasting.power.value == pytest.approx(modest.power.value, rel=1e-3)
    assert by_heat(CORE, 500.0, 6.0, 85.0, 60.0) is None
