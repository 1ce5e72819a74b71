"""The survey in the window: what is typed goes where the command puts it, and what is foretold is the survey's own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from bench.dashboard.parts.look import Shape
from bench.dashboard.survey.face import Page
from bench.job.bench_file import BenchFile
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job, load_table
from bench.records.entry import Kind
from bench.sitting.opening import open_store, take_job_lock
from bench.sitting.survey_known import known_so_far
from bench.survey.sentences import turns_text
from bench.survey.values import Survey
from tests.cli.running import rehearsal
from tests.dashboard.at_the_window import At

NUMBER = "TP-0107"
EMPTY = 'schema = 1\n[identity]\nnumber = "E-1"\nname = "nothing yet"\n'


@pytest.fixture
def at(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[At]:
    monkeypatch.setenv("TURNPROOF_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    made = At(qtbot)
    yield made
    made.close()


@pytest.fixture
def uncounted(tmp_path: Path) -> Path:
    """The example, its unit as found read and not yet stripped."""
    planned, mark, found = example_job("coastal-receiver").read_text(encoding="utf-8").partition("[as_found]\n")
    path = tmp_path / "my job.toml"
    path.write_text(planned + mark + re.sub(r"(?m)^turns(_within)? = .*\n", "", found), encoding="utf-8")
    return path


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    path = tmp_path / "empty.toml"
    path.write_text(EMPTY, encoding="utf-8")
    return path


def surveyed(path: Path) -> Survey:
    """As the command works it out from the same file and record."""
    job: Job = read_job(path)
    with open_store() as store:
        bench = BenchFile.model_validate({"schema": 1})
        survey = known_so_far(job, store, bench, load_table("limits", "survey"), curve=False).survey
    assert survey is not None
    return survey


def ready(at: At) -> None:
    at.until(lambda: at.window.survey.page is Page.OVERVIEW and bool(at.window.survey.acts))


def strip(at: At, *goes: str) -> None:
    """The winding that is chosen, go by go, until it is off."""
    at.press("Enter")
    at.until(lambda: at.desk.state.coming_off is not None and at.window.survey.page is Page.OFF)
    for go in goes:
        before = at.desk.state.coming_off
        at.press("Enter", "type turns")
        at.type(go)
        at.until(lambda before=before: at.desk.state.coming_off is not before)  # type: ignore[misc]
    at.press("W")
    at.until(lambda: not at.desk.state.doing)


def test_without_a_job_it_says_so_and_o_opens_one_of_those_that_are_here(uncounted: Path, at: At) -> None:
    at.until(lambda: at.window.survey.empty.what.text() == "No job is open" and at.offers("O"))
    at.until(lambda: "job files" in at.desk.state.reckoned)
    assert str(uncounted) in at.desk.state.reckoned["job files"].value
    at.press("O")
    at.type("nowhere.toml")
    at.until(lambda: "no such file" in at.window.asker.problem.text())
    at.type(str(uncounted))
    at.until(lambda: at.desk.state.job is not None)
    ready(at)
    assert at.window.survey.overview.unit.text() == "turns per volt: not known yet"


def test_a_winding_that_comes_off_is_in_the_record_and_the_next_one_is_foretold(at: At, uncounted: Path) -> None:
    at.open(uncounted)
    ready(at)
    strip(at, "8", "3+5")
    at.until(lambda: bool(at.window.survey.overview.tightening.history))
    [body] = at.entries(NUMBER, Kind.STRIPPED)
    assert (body["winding"], body["turns"], body["how"]) == ("heater", 16.0, "typed")
    survey = surveyed(uncounted)
    overview = at.window.survey.overview
    at.until(lambda: overview.list.row is not None and overview.list.row.key == "rectifier")
    expected = survey.winding("rectifier").expected
    assert expected is not None
    assert turns_text(expected) in overview.foretold.text()
    assert survey.turns_per_volt is not None
    assert overview.per_volt.text() == f"{survey.turns_per_volt.value:.3f}"
    assert overview.within.text() == f"± {survey.turns_per_volt.expanded:.3f}"


def test_each_count_leaves_a_line_above_the_next_and_the_interval_tightens(at: At, uncounted: Path) -> None:
    at.open(uncounted)
    ready(at)
    for turns, off in (("16", 1), ("13", 2), ("1292", 3), ("280", 4)):
        strip(at, turns)
        at.until(lambda off=off: len(at.window.survey.overview.tightening.history) == off)  # type: ignore[misc]
        ready(at)
    history = at.window.survey.overview.tightening.history
    assert [one.what for one in history] == [
        "heater off, 16 turns",
        "rectifier off, 13 turns",
        "ht off, 1292 turns",
        "primary off, 280 turns",
    ]
    wide = [one.turns_per_volt.expanded for one in history]
    assert wide == sorted(wide, reverse=True)
    assert wide[-1] < wide[0] / 2


def test_a_winding_that_is_left_goes_on_where_it_was_left(at: At, uncounted: Path) -> None:
    at.open(uncounted)
    ready(at)
    at.press("Enter", "count heater")
    at.press("Enter", "type turns")
    at.type("7")
    at.until(lambda: at.desk.state.coming_off is not None and at.desk.state.coming_off.state.off == 7)
    at.press("Q")
    at.until(lambda: not at.desk.state.doing)
    assert not at.entries(NUMBER, Kind.STRIPPED)
    ready(at)
    at.press("Enter")
    at.until(lambda: at.desk.state.coming_off is not None)
    assert at.window.survey.off.count.text() == "7.0"
    at.press("Q")
    at.until(lambda: not at.desk.state.doing)


@pytest.mark.parametrize("text", ["many", "0", "nan", "1e3", "-4", "3+", "99999999"])
def test_turns_that_are_none_change_nothing(at: At, uncounted: Path, text: str) -> None:
    at.open(uncounted)
    ready(at)
    at.press("Enter", "count heater")
    at.press("Enter", "type turns")
    at.type(text)
    at.until(lambda: bool(at.window.asker.problem.text()) or any(one.grave for one in at.desk.state.said))
    assert not at.entries(NUMBER, Kind.STRIP_GO)


def test_a_unit_is_named_and_read_from_nothing_and_fed_only_past_the_gate(at: At, empty: Path) -> None:
    at.open(empty)
    ready(at)
    for named in (("primary", "", "117 V"), ("heater", "", "6.3 V")):
        at.press("W")
        at.type(*named)
        at.until(lambda: not at.desk.busy and not at.desk.state.doing)
        ready(at)
        at.until(lambda named=named: any(  # type: ignore[misc]
            row.key == named[0] for row in at.window.survey.overview.list.rows))  # fmt: skip
    at.press("R")
    page = at.window.survey.readings
    at.until(lambda: page.due is not None and page.due.name == "insulation of primary")
    assert "tester" in page.cautions.text()
    at.press("Enter", "type this reading")
    at.type("85 Mohm", "500 V")
    at.until(lambda: page.due is not None and page.due.name == "insulation of heater")
    at.press("Enter", "type this reading")
    at.type("200", "")
    at.until(lambda: "no unit" in at.window.asker.problem.text())
    at.type("> 200 Mohm", "")
    at.until(lambda: len(at.entries("E-1", Kind.AS_FOUND)) == 4)
    kept = at.entries("E-1", Kind.AS_FOUND)
    assert kept[-1] == {"part": "insulation", "winding": "heater", "resistance": "200 Mohm", "test_voltage": "500 V"}
    assert kept[0] == {"part": "winding", "name": "primary", "role": "primary", "nameplate_voltage": "117 V"}
    at.until(lambda: page.due is not None and page.due.part == "resistance")
    assert at.entries("E-1", Kind.INSTRUMENT) == []  # a tester's readings are not the meter's
    for name, *typed in (("primary", "3.42 ohm", "20.9 °C"), ("heater", "0.049 ohm", "")):
        at.until(lambda name=name: page.due is not None and page.due.name == f"resistance of {name}")  # type: ignore[misc]
        at.press("Enter", "type this reading")
        at.type(*typed)
        at.until(lambda: not at.desk.busy and not at.desk.state.doing)
    [meter] = at.entries("E-1", Kind.INSTRUMENT)  # once, for both
    assert (meter["use"], meter["during"]) == ("hand", "survey")
    assert meter["accuracy"]["resistance"]


def test_low_insulation_feeds_nothing_without_the_word_and_a_reason(at: At, empty: Path) -> None:
    with open_store() as store:
        for name, plate in (("primary", "117 V"), ("heater", "6.3 V")):
            role = "primary" if name == "primary" else "secondary"
            body = {"part": "winding", "name": name, "role": role, "nameplate_voltage": plate}
            store.append("E-1", Kind.AS_FOUND, body)
        for name, ohms in (("primary", "0.4 Mohm"), ("heater", "200 Mohm")):
            store.append("E-1", Kind.AS_FOUND, {"part": "insulation", "winding": name, "resistance": ohms})
    at.open(empty)
    ready(at)
    at.press("R")
    page = at.window.survey.readings
    at.until(lambda: bool(page.list.rows))
    page.list.choose("volts of heater, primary fed")
    page.list.chosen.emit()
    assert "nothing is fed before it is" in page.cautions.text()
    at.press("Enter")
    at.until(lambda: "feeds it all the same" in at.window.asker.what.text())
    at.type("y", "in a hurry")
    at.until(lambda: "expected the word yes" in at.window.asker.problem.text())
    at.type("yes", "85 V")
    at.until(lambda: "is no reason" in at.window.asker.problem.text())
    assert not at.entries("E-1", Kind.NOTE)
    at.type("yes", "only 2 V from a battery charger")
    at.until(lambda: bool(at.entries("E-1", Kind.NOTE)))
    at.until(lambda: not at.desk.state.doing)


def test_a_reading_that_can_hardly_be_meant_counts_only_after_a_yes(at: At, uncounted: Path) -> None:
    at.open(uncounted)
    ready(at)
    at.press("R")
    page = at.window.survey.readings
    at.until(lambda: bool(page.list.rows))
    page.list.choose("resistance of primary")
    page.list.chosen.emit()
    for answer, kept in (("no", 0), ("yes", 1)):
        at.press("Enter")
        at.type("3.42 kohm", "21 degC")
        at.until(lambda: "right? yes or no" in at.window.asker.what.text())
        at.type(answer)
        at.until(lambda: at.window.acts.isVisible() and not at.desk.busy and not at.desk.state.doing)
        assert len(at.entries(NUMBER, Kind.AS_FOUND)) == kept


def test_what_another_program_holds_is_not_kept_and_named_whole(at: At, uncounted: Path) -> None:
    at.open(uncounted)
    ready(at)
    with take_job_lock(read_job(uncounted), "wind"):
        at.press("N")
        at.type("label under the paint", "heater")
        at.until(lambda: at.said("not kept: note: label under the paint"))
    assert not at.entries(NUMBER, Kind.NOTE)
    at.press("N")
    at.type("label under the paint", "HEATER")
    at.until(lambda: any(one.words.startswith("kept: note") for one in at.desk.state.said))
    assert at.entries(NUMBER, Kind.NOTE) == [{"text": "label under the paint", "winding": "heater"}]


def test_what_a_command_enters_meanwhile_is_seen(at: At, uncounted: Path) -> None:
    at.open(uncounted)
    ready(at)
    body = {"winding": "heater", "turns": 16.0, "within": 0.5, "how": "typed"}
    with open_store() as store:
        store.append(NUMBER, Kind.STRIPPED, body)
    at.until(lambda: at.window.survey.overview.per_volt.text() != "–")


def test_a_survey_that_cannot_be_brought_together_says_why(at: At, uncounted: Path) -> None:
    at.open(uncounted)
    ready(at)
    with open_store() as store:
        for name in ("heater", "rectifier"):
            store.append(NUMBER, Kind.STRIPPED, {"winding": name, "turns": -3.0, "within": 0.5, "how": "typed"})
    at.until(lambda: at.window.survey.overview.disagrees.text().startswith("Not as it stands now: job TP-0107"))
    assert at.window.survey.overview.disagrees_sign.accessibleName() == Shape.CROSS.value


def test_a_counter_counts_what_comes_off_whichever_way_it_turns(at: At, uncounted: Path) -> None:
    with rehearsal("--speed", "3") as (ports, control):
        at.open(uncounted)
        ready(at)
        at.press("C", "counted by hand")
        at.type(ports["counter"])
        at.until(lambda: any(one.words.startswith("counted by hall") for one in at.window.survey.acts))
        at.press("Enter", "count heater")
        at.until(lambda: at.desk.state.coming_off is not None and at.desk.state.counter.heard_at is not None)
        control.do("spindle", to=-16.0, rpm=240.0)
        off = at.window.survey.off
        at.until(lambda: off.count.text() == "16.0" and off.isVisible())
        assert off.standing.text() == "about as many as foretold"
        at.press("W")
        at.until(lambda: not at.desk.state.doing)
    [body] = at.entries(NUMBER, Kind.STRIPPED)
    assert (body["turns"], body["within"], body["how"]) == (16.0, 0.125, "counter")
