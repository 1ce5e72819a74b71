"""Where readings of every kind lie on the one scale of the comparison."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.dashboard.acceptance.comparison import Column, cell_text, groups_of, nearest_to_a_limit, place_of, rows_of
from bench.dashboard.acceptance.conclusions import (
    found_faults,
    not_done_text,
    other_checks_text,
    outcome_text,
    quiet_text,
)
from tests.dashboard.given import a_whole_test, finding, heater_off, plan, step, stopped


@pytest.mark.parametrize(
    ("measured", "at"), [(90.0, -1.0), (100.0, 0.0), (110.0, 1.0), (105.0, 0.5), (80.0, -2.0), (125.0, 2.5)]
)
def test_limits_lie_at_one_whatever_they_are(measured: float, at: float) -> None:
    place = place_of(step("ratio:ht", measured))
    assert place is not None
    assert place.at == pytest.approx(at)


def test_the_whisker_is_the_expanded_uncertainty_on_that_scale() -> None:
    place = place_of(step("ratio:ht", 100.0, u=2.5))
    assert place is not None
    assert place.whisker == pytest.approx(0.5)


def test_with_an_upper_limit_alone_the_design_lies_at_zero() -> None:
    place = place_of(step("core_watts", 115.0, lower=None, upper=120.0, expected=110.0))
    assert place is not None
    assert (place.at, place.lower, place.upper) == (pytest.approx(0.5), False, True)


@pytest.mark.parametrize(
    "result",
    [
        step("ratio:ht", None),
        step("ratio:ht", lower=None, upper=None),
        step("insulation:ht", lower=100.0, upper=None, expected=None),
        step("ratio:ht", lower=100.0, upper=100.0),
    ],
)
def test_without_a_number_or_a_distance_there_is_no_place(result: object) -> None:
    assert place_of(result) is None  # type: ignore[arg-type]


def test_a_winding_stands_above_its_sections_and_says_why_a_cell_is_missing() -> None:
    rows = rows_of(plan(), ())
    assert [row.name for row in rows] == ["primary", "ht", "ht.centre", "ht.finish", "rectifier", "heater"]
    assert (rows[0].blank, rows[1].blank, rows[2].blank) == ("feeds the others", "by its sections", "")
    assert set(rows[1].cells) == {Column.RATIO, Column.OPEN_CIRCUIT}


def test_a_result_stands_in_the_cell_of_its_step() -> None:
    result = step("open_circuit:heater", 104.0)
    assert rows_of(plan(), (result,))[-1].cells[Column.OPEN_CIRCUIT].result is result


def test_a_result_that_was_not_planned_is_not_lost() -> None:
    trouble = step("exciting:trouble", None, Verdict.TROUBLE)
    exciting = next(group for group in groups_of(plan(), (trouble,)) if group.name == "exciting")
    assert exciting.cells[-1].result is trouble


@pytest.mark.parametrize(
    ("measured", "words"), [(110.0, "+10.0 %"), (99.92, "-0.08 %"), (99.999, "0.00 %"), (100.0, "0.00 %")]
)
def test_a_deviation_has_the_figures_that_help(measured: float, words: str) -> None:
    assert cell_text(step("ratio:ht", measured))[1] == words


def test_overload_stands_as_a_word() -> None:
    assert cell_text(step("ratio:ht", None)) == ("overload", "")


def test_the_step_that_used_most_of_its_limits_is_named() -> None:
    nearest = nearest_to_a_limit((step("ratio:ht", 104.0), step("ratio:heater", 93.0), step("frequency", 101.0)))
    assert nearest is not None
    assert (nearest[0].id, nearest[1]) == ("ratio:heater", pytest.approx(0.9))


def test_the_outcome_counts_what_lies_outside() -> None:
    assert outcome_text(heater_off()) == "Tested: 30 steps. 3 outside the limits."


def test_a_good_unit_is_told_quietly() -> None:
    good = a_whole_test(Verdict.ACCEPTED)
    assert outcome_text(good) == "Tested: 30 steps. All inside their limits."
    assert quiet_text(good).startswith("No fault is needed to explain these readings.")
    assert found_faults(good) == ()


def test_a_rejected_unit_without_a_finding_is_not_told_that_all_is_well() -> None:
    lines = quiet_text(stopped()).splitlines()
    assert lines == ["No known fault explains these readings:", "insulation of ht: rejected"]


def test_a_test_that_was_stopped_says_what_is_missing_and_why() -> None:
    assert "11 required steps not done" in outcome_text(stopped())
    assert not_done_text(stopped()) == "Not done: 11 steps: not started: insulation of ht is low"


def test_findings_come_by_probability() -> None:
    faults = found_faults(heater_off())
    assert [fault.probability for fault in faults] == [0.92, 0.05]
    assert faults[0].sentence == "heater has 2 turns too many"


def test_a_finding_on_an_accepted_unit_is_told_in_a_line_without_alarm() -> None:
    accepted = a_whole_test(Verdict.ACCEPTED, findings=(finding("heater", 0.09),))
    assert found_faults(accepted) == ()
    assert "Likeliest fault all the same, 9 %: heater has 2 turns too many." in quiet_text(accepted)


def test_steps_without_a_place_of_their_own_are_told_a_line_a_kind_with_their_limit() -> None:
    lines = other_checks_text(a_whole_test(Verdict.ACCEPTED)).splitlines()
    assert lines[0] == "· stack height: 100.0 V (limit 90.00 V .. 110.0 V)"
    assert lines[1] == (
        "· insulation: primary 100.0 V, ht 100.0 V, rectifier 100.0 V, heater 100.0 V (limit 90.00 V .. 110.0 V)"
    )
    assert [line for line in lines if "ratio" in line or "exciting" in line] == []
