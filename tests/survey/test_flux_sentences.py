"""What is said of flux and frequency: calm, and never better than it is known."""

from __future__ import annotations

from typing import Any

import pytest

from bench.job.profiles import load_table
from bench.job.wire import parse_wire
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import Steel
from bench.survey.bearing import growth_of_steel
from bench.survey.interval import Interval
from bench.survey.sentences import says
from bench.survey.survey import Survey
from tests.survey.units import Unit

STEEL = Steel.from_table(load_table("steels", "m400-50a"))
CORE = MagneticCore(1.34e-3, 0.192, STEEL, joint=8e-6, building_factor=1.2)


def _said(survey: Survey, heading: str = "Flux density") -> str:
    return "\n".join(line for one in says(survey) if one.heading == heading for line in one.lines)


def _of_turns(turns: float, **job: Any) -> str:
    """The unit with so many turns on its primary for 117 V."""
    scale = turns / 280
    true = {"primary": turns, "ht": round(1292 * scale), "rectifier": 13 * scale, "heater": 16 * scale}
    return _said(Unit(true=true, counts={"ht": None, "rectifier": None, "heater": None}).survey(**job))


@pytest.mark.parametrize(
    ("turns", "words"),
    [
        (420, "The core as found bears it: "),
        (320, "bears it, with little to spare"),
        (280, "may or may not bear it"),
        (225, "does not bear it"),
        (200, "deep in saturation"),
        (140, "No sheet carries"),
    ],
)
def test_the_fewer_turns_per_volt_the_worse_the_word(turns: float, words: str) -> None:
    assert words in _of_turns(turns)


def test_a_word_that_is_too_good_is_never_used_where_the_band_passes_it() -> None:
    for turns in range(220, 430, 15):
        said = _of_turns(turns)
        if "bears it" in said:
            low, high = said.split("it takes ")[1].split(" times")[0].split(" to ")
            assert float(high) <= 2.05
            assert float(low) <= float(high)


def test_the_doubt_of_the_flux_density_is_in_the_growth() -> None:
    sure = growth_of_steel(CORE, Interval(1.35, 0.001), 0.1, 50.0)
    doubted = growth_of_steel(CORE, Interval(1.35, 0.05), 0.1, 50.0)
    assert doubted.value == pytest.approx(sure.value)
    assert doubted.u > 1.1 * sure.u


def test_growth_is_to_the_upper_limit_of_the_supply_and_not_to_ten_per_cent() -> None:
    narrow = _of_turns(300, supply={"voltage": "230 V", "frequency": "50 Hz", "tolerance": "6 %"})
    wide = _of_turns(300, supply={"voltage": "230 V", "frequency": "50 Hz", "tolerance": "20 %"})
    grown = [said.split("it takes ")[1].split(" times")[0] for said in (narrow, wide)]
    assert grown[0] != grown[1]
    assert "with 6 % more" in narrow
    assert "with 20 % more" in wide


def test_a_plate_for_both_frequencies_raises_no_alarm() -> None:
    made = {"voltage": "117 V", "frequency": "60 Hz", "or_frequency": "50 Hz"}
    said = _said(Unit().survey(made_for=made))
    assert "made for this frequency as well" in said
    for alarm in ("x 1.2 the turns", "bear it", "cure"):
        assert alarm not in said


def test_a_supply_that_nobody_named_is_not_taken_for_the_new_one() -> None:
    said = _said(Unit().survey(made_for=None))
    assert "Nobody said what it was made for" in said
    assert "if that was 60 Hz, it ran at 1.17 T there" in said
    assert "The frequency stays" not in said


def test_without_a_plate_or_a_supply_that_it_was_made_for_there_are_turns_and_no_flux() -> None:
    more = {
        "winding": [{"name": "a", "turns": 100.0}, {"name": "b"}],
        "volts": [{"fed": "a", "fed_voltage": "12.00 V", "winding": "b", "voltage": "3.000 V"}],
        "fed": "a",
    }
    survey = Unit(more=more).survey(made_for=None)
    assert survey.turns_per_volt is None
    assert survey.flux is None
    expected = survey.winding("b").expected
    assert expected is not None
    assert expected.value == pytest.approx(25.0, rel=0.02)


def test_a_heater_that_was_fed_one_volt_says_nothing_of_the_flux_at_work() -> None:
    # Volts of a test are not the volts that a winding works at: the primary has a plate, so turns per volt are by that.
    more = {
        "winding": [
            {"name": "primary", "role": "primary", "turns": 280.0, "nameplate_voltage": "117 V"},
            {"name": "heater", "role": "secondary", "turns": 16.0},
        ],
        "volts": [{"fed": "heater", "fed_voltage": "1.0000 V", "winding": "primary", "voltage": "17.43 V"}],
    }
    survey = Unit(more=more).survey()
    assert survey.flux is not None
    assert survey.flux.as_made is not None
    assert survey.flux.as_made.nominal.value == pytest.approx(1.166, rel=0.01)
    assert _said(survey, "Nameplate") == ""


def test_more_watts_than_any_sheet_takes_are_told_for_what_they_are_and_judge_no_steel() -> None:
    points = [
        {"voltage": f"{v} V", "current": f"{0.05 + v * v * 6e-5} A", "power": f"{v * v * 4e-3} W"}
        for v in (20.0, 40.0, 60.0, 80.0, 97.0)
    ]
    survey = Unit(more={"exciting": points}).survey()
    assert survey.curve is not None
    assert survey.curve.excess_watts is not None
    said = _said(survey, "Steel")
    assert "no steel does" in said
    assert "shorted turn" in said
    assert "bears it" not in _said(survey)


def test_ohms_with_a_slipped_decimal_are_told() -> None:
    more = {"resistance": [{"winding": "heater", "resistance": "6.78 ohm"}]}
    unit = Unit(more=more)
    found = unit.found()
    windings = tuple(
        one.model_copy(update={"wire": parse_wire("0.9 mm"), "strands": 2}) if one.name == "heater" else one
        for one in found.winding
    )
    survey = unit.survey_of(found.model_copy(update={"winding": windings}))
    assert survey.disagrees
    assert "the copper of heater says" in _said(survey, "What disagrees")
