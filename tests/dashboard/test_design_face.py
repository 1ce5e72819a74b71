"""The design in the window: targets that are typed stand in the job file, and the figures follow them."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.dashboard.design.tables import change_words
from bench.dashboard.parts.look import Shape
from bench.job.file import read_job
from bench.job.profiles import example_job
from tests.dashboard.at_the_window import At


@pytest.fixture
def at(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[At]:
    monkeypatch.setenv("TURNPROOF_HOME", str(tmp_path / "home"))
    made = At(qtbot)
    made.window.look_at(1)
    yield made
    made.close()


@pytest.fixture
def gate(tmp_path: Path) -> Path:
    """The smaller example: its search takes less."""
    path = tmp_path / "gate.toml"
    path.write_text(example_job("gate-opener").read_text(encoding="utf-8"), encoding="utf-8")
    return path


def settled(at: At) -> None:
    of = at.window.design.reckoning
    at.until(lambda: of.shown is not None and not of.under_way and not at.desk.state.doing)


def choose(at: At, key: str) -> None:
    asked = at.window.design.asked
    at.until(lambda: any(row.key == key for row in asked.rows))
    asked.choose(key)
    asked.chosen.emit()


def set_target(at: At, key: str, *lines: str) -> None:
    choose(at, key)
    at.press("Enter", "set")
    at.type(*lines)


def test_without_a_job_and_with_half_of_one_it_says_what_is_missing(at: At, tmp_path: Path) -> None:
    face = at.window.design
    at.until(lambda: face.empty.what.text() == "No job is open")
    half = tmp_path / "half.toml"
    half.write_text('schema = 1\n[identity]\nnumber = "H-1"\n[[winding]]\nname = "p"\nrole = "primary"\n', "utf-8")
    at.open(half)
    at.until(lambda: face.verdict.text() == "Not designed yet")
    assert "core.stack" in face.why.text()
    assert face.section.plan is None
    assert not at.offers("S")


def test_a_target_is_written_with_its_comments_kept_and_the_search_follows(at: At, gate: Path) -> None:
    before = gate.read_text(encoding="utf-8")
    at.open(gate)
    settled(at)
    of, face = at.window.design.reckoning, at.window.design
    assert of.shown is not None
    was = of.shown.job.get_winding("primary").turns
    set_target(at, "flux_density", "1.0 T")
    at.until(lambda: of.shown is not None and of.shown.found is not None and not of.under_way)
    after = gate.read_text(encoding="utf-8")
    assert after == before.replace('flux_density = "1.25 T"', 'flux_density = "1.0 T"')
    turns = of.shown.job.get_winding("primary").turns
    assert was is not None
    assert turns is not None
    assert turns > was
    row = next(one for one in face.windings.rows if one.key == "primary")
    assert row.cells[2].text == f"↑ {turns - was} more"
    assert max(mark.value for mark in face.flux.seen.marks[:2]) <= 1.0001


def test_a_held_enter_takes_nothing_out_of_the_job_file(at: At, gate: Path) -> None:
    before = gate.read_text(encoding="utf-8")
    at.open(gate)
    settled(at)
    choose(at, "flux_density")
    at.press("Enter", "set")
    line = at.window.asker.line
    at.until(line.hasFocus)
    for _ in range(5):
        held = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier, "\r", True)
        QApplication.sendEvent(line, held)
    assert at.window.asker.isVisible()
    assert not at.window.asker.problem.text()
    # An empty line is none either, whoever means it says so.
    at.type("")
    assert "nothing was typed" in at.window.asker.problem.text()
    assert "usual" in at.window.asker.problem.text()
    assert gate.read_text(encoding="utf-8") == before
    at.type("usual")
    at.until(lambda: 'flux_density = "' not in gate.read_text(encoding="utf-8"))


def test_a_design_is_taken_over_into_the_job_file(at: At, gate: Path) -> None:
    at.open(gate)
    settled(at)
    at.press("S", "search")
    of = at.window.design.reckoning
    at.until(lambda: of.shown is not None and of.shown.found is not None and not of.under_way)
    found = of.shown.found if of.shown is not None else None
    assert found is not None
    assert read_job(gate).get_winding("primary").turns == 1620
    at.press("W", "write")
    at.until(lambda: at.said("the design, primary"))
    assert {one.name: one.turns for one in read_job(gate).winding} == found.design.turns
    settled(at)
    assert of.shown is not None
    assert of.shown.found is None
    assert at.window.design.section.plan is not None


def test_back_shows_the_job_as_it_is(at: At, gate: Path) -> None:
    at.open(gate)
    settled(at)
    at.press("S", "search")
    of = at.window.design.reckoning
    at.until(lambda: of.shown is not None and of.shown.found is not None and not of.under_way)
    at.press("Esc", "back")
    at.until(lambda: of.shown is not None and of.shown.found is None and not of.under_way)
    assert of.shown is not None
    assert of.shown.job.get_winding("primary").turns == 1620


def test_what_asks_too_much_says_that_nothing_fits_and_what_would_have_to_give(at: At, gate: Path) -> None:
    at.open(gate)
    settled(at)
    set_target(at, "winding.supply24", "24 V", "3 A")
    face = at.window.design
    at.until(lambda: face.verdict.text() == "Nothing fits")
    assert read_job(gate).get_winding("supply24").rated_current == 3.0
    assert "give" in face.why.text() or "less of more than one" in face.why.text()
    assert not at.offers("W")


def test_a_file_that_was_changed_meanwhile_is_not_written_over(at: At, gate: Path) -> None:
    at.open(gate)
    settled(at)
    theirs = gate.read_text(encoding="utf-8").replace("Old Orchard", "New Orchard")
    stamp = gate.stat().st_mtime_ns
    choose(at, "flux_density")
    at.press("Enter", "set")
    at.until(lambda: at.window.asker.isVisible())
    gate.write_text(theirs, encoding="utf-8")
    # A file system that looks no finer than this would not show it yet; the window must not rely on it.
    os.utime(gate, ns=(stamp, stamp))
    at.type("1.0 T")
    at.until(lambda: at.said("not written: flux, nominal: 1.0 T"))
    assert any("changed meanwhile" in one.words for one in at.desk.state.said)
    assert gate.read_text(encoding="utf-8") == theirs


@pytest.mark.parametrize(
    ("key", "lines"),
    [
        ("flux_density", ("a lot",)),
        ("flux_density", ("12 T",)),
        ("flux_density", ("nan T",)),
        ("temperature_class", ("Z",)),
        ("window_fill", ("5 %",)),
        ("window_fill", ("950",)),
        ("volts_within", ("-3 %",)),
        ("objective", ("beauty",)),
        ("keep", ("primary, nobody",)),
        ("keep", ("",)),
        ("order", ("",)),
        ("winding.supply24", ("", "")),
        ("winding.supply24", ("24 V", "half an amp")),
        ("winding.supply24", ('24 V"] [evil]', "")),
    ],
)
def test_a_line_that_is_no_target_is_refused_in_a_line(at: At, gate: Path, key: str, lines: tuple[str, ...]) -> None:
    before = gate.read_text(encoding="utf-8")
    at.open(gate)
    set_target(at, key, *lines)
    at.until(lambda: bool(at.window.asker.problem.text()))
    assert "expected" in at.window.asker.problem.text()
    assert "\n" not in at.window.asker.problem.text()
    assert gate.read_text(encoding="utf-8") == before


def test_a_build_higher_than_its_window_does_not_fit(at: At, gate: Path) -> None:
    text = gate.read_text(encoding="utf-8").replace("turns = 190", "turns = 900")
    gate.write_text(text, encoding="utf-8")
    at.open(gate)
    settled(at)
    face = at.window.design
    at.until(lambda: face.verdict.text().startswith("It does not fit"))
    assert face.limits.limits[0].share > 1
    assert "window" in face.limits.accessibleDescription()
    assert face.sign.accessibleName() == Shape.CROSS.value


def test_a_change_is_told_by_an_arrow_and_a_word() -> None:
    assert change_words(7.3, 6.0, "W", 1) == "↑ 1.3 W more"
    assert change_words(94, 80, "%", 0) == "↑ 14 % more"
    assert change_words(17, 18, "", 0) == "↓ 1 less"
    assert change_words(5.04, 5.0, "W", 1) == "= as before"
    assert change_words(5.0, None, "W", 1) == ""
