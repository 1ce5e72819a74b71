"""What the window shows, and that all of it can be seen."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from bench.acceptance.decision import Verdict
from bench.dashboard import news as told
from bench.dashboard.parts.fit_label import FitLabel
from tests.dashboard.conftest import Showing
from tests.dashboard.given import BEGUN, NOW, STATES, TESTING, a_whole_test, after, plan, progress, step

SIZES = [(1280, 800), (1920, 1080), (1180, 700), (3840, 2160)]


def test_the_count_is_shown_with_target_and_what_comes_next(showing: Showing) -> None:
    face = showing(STATES["winding"]).winding
    assert (face.figures.count.text(), face.figures.target.text(), face.figures.to_go.text()) == (
        "411.4",
        "of 662 turns",
        "250.6 to go",
    )
    assert face.due.words.text() == "end of layer 5 in 28.6 turns"
    assert face.former.facts["layer"].text() == "5 of 8"
    assert face.former.facts["turn in layer"].text() == "59 of 88"
    assert face.former.facts["speed"].text() == "420 rpm"


def test_the_count_is_read_from_two_metres(showing: Showing) -> None:
    figures = showing(STATES["winding"]).winding.figures.count
    assert figures.fontMetrics().tightBoundingRect("4").height() > 100


def test_the_count_keeps_its_size_from_the_first_turn_to_the_last(showing: Showing) -> None:
    window = showing(after(*BEGUN, told.Progressed(progress(0.0))))
    before = window.winding.figures.count.font().pixelSize()
    window.show_state(after(*BEGUN, told.Progressed(progress(661.9))), NOW)
    assert window.winding.figures.count.font().pixelSize() == before


def test_an_unsure_count_shows_its_interval_and_says_so(showing: Showing) -> None:
    face = showing(STATES["unsure"]).winding
    assert face.figures.interval.text() == "655.0 to 664.5"
    assert face.figures.to_go.text() == "0.0 to 7.0 to go"
    assert face.figures.standing.text() == "count unsure"


def test_a_count_without_bounds_says_to_count_and_shows_no_infinity(showing: Showing) -> None:
    lost = told.Progressed(progress(300.0, low=-math.inf, high=math.inf))
    face = showing(after(*BEGUN, lost)).winding
    assert (face.figures.interval.text(), face.figures.to_go.text()) == ("count the turns by hand", "not known")


def test_a_sure_count_shows_no_interval(showing: Showing) -> None:
    assert showing(STATES["winding"]).winding.figures.interval.text() == ""


def test_too_many_turns_are_called_so(showing: Showing) -> None:
    face = showing(STATES["past"]).winding
    assert (face.figures.to_go.text(), face.figures.standing.text()) == ("4.1 too many", "past target")


def test_a_lost_line_shows_at_the_counter_with_what_to_do(showing: Showing) -> None:
    card = showing(STATES["line lost"]).instruments.counter
    assert card.health.text() == "Counter: lost"
    assert card.what.text().startswith("Plug its cable in again")


def test_a_count_whose_counter_is_away_does_not_pass_for_the_count_now(showing: Showing) -> None:
    assert showing(STATES["line lost"]).winding.figures.standing.text() == "no line from the counter"


def test_a_count_that_is_no_longer_said_does_not_pass_for_the_count_now(showing: Showing) -> None:
    window = showing(STATES["winding"])
    window.show_state(STATES["winding"], NOW + 10.0)
    assert window.winding.figures.standing.text() == "no line from the counter"
    window.show_state(after(told.Progressed(progress(412.0)), start=STATES["winding"], at=NOW + 10.0), NOW + 10.0)
    assert window.winding.figures.standing.text() == "winding"


def test_the_age_of_the_last_value_goes_on_when_nothing_else_does(showing: Showing) -> None:
    window = showing(STATES["winding"])
    assert window.instruments.counter.age.text() == "now"
    window.show_state(STATES["winding"], NOW + 42.0)
    assert window.instruments.counter.age.text() == "42 s ago"
    assert window.instruments.counter.health.text() == "Counter: silent for 42 s"


def test_the_test_shows_what_is_asked_and_between_which_leads(showing: Showing) -> None:
    window = showing(STATES["links"])
    card = window.test.step
    assert card.isVisible()
    assert card.do.text() == "Join primary.finish and heater.finish; voltmeter between the two starts."
    assert "to  heater.start   8 (green)" in card.clips.text()
    assert "join  primary.finish   2 (black-white)\nwith  heater.finish   9 (green)" in card.clips.text()
    assert card.value.text() == "6.591 V"


def test_what_is_live_is_said_with_its_cautions(showing: Showing) -> None:
    card = showing(STATES["live"]).test.step
    assert card.live_words.text() == "LIVE: 172 V on primary, up to 405 V between terminals"
    assert card.cautions.text().startswith("Mains kills.")


def test_nothing_alarming_is_said_while_nothing_is_wrong(showing: Showing) -> None:
    window = showing(after(*TESTING, told.StepDone(step("ratio:ht"))))
    assert window.test.findings.quiet.text() == "1 steps done, nothing outside its limits so far."


def test_a_rejected_step_is_told_at_once(showing: Showing) -> None:
    window = showing(after(*TESTING, told.StepDone(step("ratio:ht", 130.0, Verdict.REJECTED))))
    assert window.test.findings.quiet.text() == "ratio of ht: rejected"


def test_the_end_shows_the_verdict_the_findings_and_what_to_check(showing: Showing) -> None:
    test = showing(STATES["rejected"]).test
    assert test.verdict.word.text() == "REJECTED"
    assert not test.step.isVisible()
    first = test.findings.blocks[0]
    assert (first.bar.figures.text(), first.sentence.text()) == ("92 %", "heater has 2 turns too many")
    assert first.check.text().startswith("Check next: series sum")
    assert first.evidence.text().count("design 6.592") == 4


def test_a_good_unit_ends_without_a_finding(showing: Showing) -> None:
    test = showing(STATES["accepted"]).test
    assert test.verdict.word.text() == "ACCEPTED"
    assert [block.isVisible() for block in test.findings.blocks] == [False, False, False]
    assert test.findings.quiet.text().startswith("No fault is needed")


def test_no_finding_is_called_certain(showing: Showing) -> None:
    sure = a_whole_test(Verdict.REJECTED, findings=(STATES["rejected"].verdict.findings[0].__class__(  # type: ignore[union-attr]
        "winding_open", "heater", "", 0.99999, ("no current passes",), "ohmmeter", "remake the joint"),))  # fmt: skip
    block = showing(after(*TESTING, told.Finished(sure))).test.findings.blocks[0]
    assert block.bar.figures.text() == "> 99 %"


def test_the_plot_holds_every_measured_point(showing: Showing) -> None:
    plot = showing(STATES["accepted"]).test.exciting.amps.plot
    points = [item for item in plot.getPlotItem().items if type(item).__name__ == "ScatterPlotItem"]
    volts = [item.getData()[0][0] for item in points]
    assert volts == [115.0, 172.5, 230.0, 253.0]


def test_a_key_looks_back_at_the_winding(showing: Showing, qtbot: QtBot) -> None:
    window = showing(STATES["accepted"])
    qtbot.keyClick(window, Qt.Key.Key_1)
    assert window.winding.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_2)
    assert window.test.isVisible()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", STATES)
def test_no_text_is_clipped(showing: Showing, name: str, size: tuple[int, int]) -> None:
    window = showing(STATES[name], size)
    labels = [label for label in window.findChildren(FitLabel) if label.isVisible() and label.text()]
    assert len(labels) > 5
    assert [label.text() for label in labels if not label.fits()] == []


@pytest.mark.parametrize("size", SIZES)
def test_all_kinds_of_steps_fit_on_their_line(showing: Showing, size: tuple[int, int]) -> None:
    assert len(plan()) == 30
    assert showing(STATES["live"], size).test.steps.name_size() >= 9
