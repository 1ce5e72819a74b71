"""A core stacked again and varnished through the window, beside the command that keeps the same."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.restack.answer_row import AnswerRow
from bench.job.file import read_job
from bench.records.entry import Kind
from bench.sitting.opening import open_store, take_job_lock
from bench.sitting.stage_answering import StageAnswering
from bench.winding.stage import answered
from tests.dashboard.working import NUMBER, Person, a_job, at_a_face, entries

K = Qt.Key


@pytest.fixture
def path(home: Path, tmp_path: Path) -> Path:
    return a_job(tmp_path)


@pytest.fixture
def person(qtbot: QtBot, path: Path) -> Iterator[Person]:
    with at_a_face(qtbot, path, K.Key_4, lambda made: "type: came out" in made.offered()) as made:
        yield made


def kept(kind: Kind = Kind.RESTACK) -> dict[str, str]:
    """Answers that stand in the record."""
    known = answered((one.seq, one.body) for one in entries() if one.kind == kind)
    return {key: one.value for key, one in known.answers.items()}


def row(person: Person, key: str) -> AnswerRow:
    return next(one for one in person.window.restack.answers.rows if one.key == key)


def answer_all(person: Person, laminations_in: str = "96") -> None:
    """A sound core, but for the laminations: came out and put in are typed, what is one of a few words by its key."""
    person.press(K.Key_Return)
    for line in ("96", laminations_in, "0", "0"):
        person.type(line)
    person.press(K.Key_A)
    person.type("45")
    for key in (K.Key_A, K.Key_A, K.Key_D, K.Key_D):
        person.press(key)
    # neither band nor can: the next is the earth lead
    person.press(K.Key_A)
    person.type("")
    person.qtbot.waitUntil(lambda: "earth" in kept())


def test_a_whole_restack_is_kept_as_the_command_keeps_it(person: Person) -> None:
    answer_all(person)
    assert kept() == {
        "came_out": "96 E 96 I", "laminations_in": "96 E 96 I", "left_over": "0 E 0 I", "scrapped": "0 E 0 I",
        "interleave": "1x1", "stack": "45 mm", "bolts": "insulated", "wedge": "in", "band": "left off",
        "can": "none", "earth": "joined",
    }  # fmt: skip
    assert entries()[0].kind == Kind.JOB_FILE
    person.qtbot.waitUntil(lambda: entries()[-1].body.get("part") == "judged")
    assert entries()[-1].body["not_answered"] == []


def test_missing_laminations_are_warned_of_drawn_and_said_by_a_sign(person: Person) -> None:
    answer_all(person, "88")
    face = person.window.restack
    person.qtbot.waitUntil(lambda: row(person, "laminations_in").sign == (Shape.BANG, Ink.BAD))
    assert any("8 layers short" in block.words.text() for block in face.remarks.blocks)
    assert face.core.stacked is not None
    assert (face.core.stacked.missing, face.core.stacked.wanted) == (8, 96)
    assert "8 missing" in face.core.accessibleDescription()
    assert "a warning stands" in row(person, "laminations_in").accessibleName()
    person.qtbot.waitUntil(lambda: "missing_laminations" in entries()[-1].body.get("warnings", []))


def test_an_answer_is_withdrawn_and_stands_no_more(person: Person) -> None:
    person.press(K.Key_Return)
    person.type("96")
    person.type("90")
    person.qtbot.waitUntil(lambda: "laminations_in" in kept())
    person.leave_line()
    person.press(K.Key_Up)
    person.qtbot.waitUntil(lambda: "withdraw it" in person.offered())
    person.press(K.Key_Minus)
    person.qtbot.waitUntil(lambda: "laminations_in" not in kept())
    withdrawn = entries()[-1].body
    assert (withdrawn["part"], withdrawn["withdrawn"]) == ("laminations_in", "90 E 90 I")
    person.qtbot.waitUntil(lambda: row(person, "laminations_in").sign[0] is Shape.RING)


def test_nonsense_is_refused_in_the_line_and_nothing_is_kept(person: Person) -> None:
    person.press(K.Key_Return)
    person.type("96,5")
    assert "no whole number" in person.window.asker.problem.text()
    assert kept() == {}


def test_what_can_hardly_be_meant_waits_for_a_yes(person: Person) -> None:
    person.press(K.Key_Return)
    person.type("96")
    person.type("9")
    person.qtbot.waitUntil(lambda: "yes, keep it" in person.offered())
    assert "Is 9 E 9 I right?" in person.window.restack.card.asks.text()
    person.qtbot.waitUntil(lambda: "came_out" in kept())
    assert "laminations_in" not in kept()
    person.qtbot.waitUntil(lambda: not person.window.asker.isVisible())
    person.press(K.Key_Y)
    person.qtbot.waitUntil(lambda: kept().get("laminations_in") == "9 E 9 I")


def test_a_gap_asks_for_its_spacer_and_is_drawn(person: Person) -> None:
    person.qtbot.mouseClick(row(person, "interleave"), Qt.MouseButton.LeftButton)
    person.press(K.Key_G)
    person.type("0.1")
    person.qtbot.waitUntil(lambda: kept().get("gap") == "0.1 mm")
    core = person.window.restack.core
    person.qtbot.waitUntil(lambda: "a gap of 0.1 mm" in core.accessibleDescription())


def test_what_another_program_keeps_is_shown_without_asking(person: Person, path: Path) -> None:
    StageAnswering(read_job(path), path).answer(Kind.RESTACK, "came_out", "84 E 84 I")
    person.qtbot.waitUntil(lambda: row(person, "came_out").value == "84 E 84 I", timeout=6000)


def test_an_answer_while_another_program_holds_the_job_is_refused_and_said(person: Person, path: Path) -> None:
    with take_job_lock(read_job(path), "restack"):
        person.press(K.Key_Return)
        person.type("96")
        person.qtbot.waitUntil(lambda: "not kept" in person.said())
    assert kept() == {}


def test_what_is_answered_just_before_the_window_is_closed_is_kept(person: Person) -> None:
    person.press(K.Key_Return)
    person.type("96")
    person.leave()
    assert kept() == {"came_out": "96 E 96 I"}
    assert entries()[-1].body["part"] == "judged"


def test_a_photograph_is_kept_with_the_stage(person: Person, tmp_path: Path) -> None:
    picture = tmp_path / "core.jpg"
    picture.write_bytes(b"not looked at here")
    person.press(K.Key_P)
    person.type(str(picture))
    person.qtbot.waitUntil(lambda: any(one.kind == Kind.PHOTO for one in entries()))
    assert entries()[-1].body["stage"] == "restack"
    person.qtbot.waitUntil(lambda: row(person, "").value == "1")


def test_varnish_before_the_test_wants_a_reason(person: Person) -> None:
    person.press(K.Key_V)
    assert person.offered() == ["begin all the same", "to the restack"]
    assert "No acceptance test" in person.window.restack.card.asks.text()
    person.press(K.Key_B)
    person.type("9")
    assert "no reason" in person.window.asker.problem.text()
    person.type("it goes to the museum unfed")
    person.qtbot.waitUntil(lambda: "type: varnish" in person.offered())
    assert entries()[-1].body["because"] == "it goes to the museum unfed"


def test_varnish_is_on_by_itself_once_the_unit_was_accepted(qtbot: QtBot, path: Path) -> None:
    with open_store() as store:
        store.append(NUMBER, Kind.RESULT, {"verdict": "accepted", "steps": []})
    person = Person(qtbot, path)
    try:
        person.press(K.Key_4)
        qtbot.waitUntil(lambda: "type: varnish" in person.offered())
        face = person.window.restack
        qtbot.mouseClick(row(person, "bake 1"), Qt.MouseButton.LeftButton)
        person.press(K.Key_Return)
        person.type("120 C 4 h")
        person.type("90 C 2 h")
        qtbot.waitUntil(lambda: kept(Kind.VARNISH) == {"bake 1": "120 °C 4 h", "bake 2": "90 °C 2 h"})
        qtbot.waitUntil(lambda: row(person, "bake 1").sign == (Shape.BANG, Ink.BAD))
        assert "120 °C 4 h" in face.heats.accessibleDescription()
    finally:
        person.leave()


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080), (1180, 700), (3840, 2160)])
def test_no_text_of_a_core_with_every_fault_is_clipped(qtbot: QtBot, path: Path, size: tuple[int, int]) -> None:
    answering = StageAnswering(read_job(path), path)
    wrong = {
        "came_out": "96 E 96 I", "laminations_in": "90 E 88 I", "left_over": "2 E 2 I", "interleave": "butt",
        "gap": "0.1 mm", "stack": "43.2 mm", "bolts": "bare", "wedge": "left out", "band": "inside",
        "can": "fitted", "earth": "not joined",
    }  # fmt: skip
    for key, value in wrong.items():
        answering.answer(Kind.RESTACK, key, value)
    person = Person(qtbot, path)
    try:
        person.window.resize(*size)
        person.press(K.Key_4)
        qtbot.waitUntil(lambda: bool(person.window.restack.answers.rows))
        for key in wrong:
            qtbot.mouseClick(row(person, key), Qt.MouseButton.LeftButton)
            QApplication.processEvents()
            labels = [one for one in person.window.restack.findChildren(FitLabel) if one.isVisible() and one.text()]
            assert [one.text() for one in labels if not one.fits()] == []
    finally:
        person.leave()
