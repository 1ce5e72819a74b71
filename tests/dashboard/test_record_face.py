"""The record through the window: finding, reading, adding, verifying."""

from __future__ import annotations

import errno
import os
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QColor, QDesktopServices, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Shape
from bench.dashboard.state import Snapshot
from bench.dashboard.stations import DESK
from bench.job.profiles import example_job
from bench.records.entry import Kind
from bench.records.home import store_path
from bench.records.problem import RecordProblem
from bench.records.store import Store
from bench.sitting.certificate_file import certificate_as_file
from bench.sitting.opening import open_store
from tests.dashboard.working import NUMBER, Person, a_job, at_a_face, entries

K = Qt.Key


@pytest.fixture
def path(home: Path, tmp_path: Path) -> Path:
    return a_job(tmp_path)


@pytest.fixture
def person(qtbot: QtBot, path: Path) -> Iterator[Person]:
    with at_a_face(qtbot, path, K.Key_6, lambda made: bool(made.window.record.jobs.rows)) as made:
        yield made


@pytest.fixture
def many(home: Path) -> None:
    """300 jobs with a job file each; every third accepted, every third rejected."""
    text = example_job("coastal-receiver").read_text(encoding="utf-8")
    with open_store() as store:
        store._connection.exec_driver_sql("PRAGMA synchronous=OFF")
        for one in range(300):
            number = f"W-{one:03d}"
            said = text.replace(NUMBER, number).replace("Mains transformer of a", f"Lot {one}: a")
            store.append(number, Kind.JOB_FILE, {"file": f"{number}.toml", "text": said})
            if one % 3:
                verdict = "accepted" if one % 3 == 1 else "rejected"
                store.append(number, Kind.RESULT, {"verdict": verdict, "steps": [], "findings": [], "not_done": []})


def picture(path: Path, wide: int = 60, high: int = 40) -> Path:
    image = QImage(wide, high, QImage.Format.Format_RGB32)
    image.fill(QColor("#8899aa"))
    assert image.save(str(path))
    return path


def _full(handle: int) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def words_of(person: Person) -> list[str]:
    return [one.words for one in person.window.record.history.rows]


def sign_of_record(state: Snapshot) -> Shape:
    return next(one for one in DESK if one.name == "record").sign(state)[0]


def tampered(statement: str, *values: object) -> None:
    """The store's file as somebody alters it who goes round its guards."""
    file = sqlite3.connect(store_path())
    file.execute("DROP TRIGGER entry_no_update")
    file.execute("DROP TRIGGER entry_no_delete")
    file.execute(statement, values)
    file.commit()
    file.close()


# -- adding ------------------------------------------------------------------------------------------


def test_a_note_is_kept_and_stands_in_the_history(person: Person) -> None:
    person.press(K.Key_N)
    person.type("old screws in bag 4")
    person.qtbot.waitUntil(lambda: "old screws in bag 4" in words_of(person))
    assert entries()[-1].kind == Kind.NOTE
    assert entries()[-1].body == {"text": "old screws in bag 4"}
    assert "kept as entry" in person.said()
    person.qtbot.waitUntil(lambda: sign_of_record(person.desk.state) is Shape.DOT)


def test_a_picture_is_kept_beside_the_record_and_seen_small(person: Person, tmp_path: Path) -> None:
    person.press(K.Key_P)
    person.type(str(picture(tmp_path / "core.png", 3000, 2000)))
    shown = person.window.record.pictures
    person.qtbot.waitUntil(lambda: bool(shown.thumbnails))
    (small,) = shown.thumbnails
    assert small.image is not None
    assert max(small.image.width(), small.image.height()) <= 1200
    body = entries()[-1].body
    assert (store_path().parent / "attachments" / body["file"]).is_file()


def test_a_damaged_picture_says_so(person: Person, tmp_path: Path) -> None:
    (tmp_path / "damaged.png").write_bytes(b"\x89PNG\r\n\x1a\nno more of it")
    person.press(K.Key_P)
    person.type(str(tmp_path / "damaged.png"))
    shown = person.window.record.pictures
    person.qtbot.waitUntil(lambda: bool(shown.thumbnails))
    assert shown.thumbnails[0].image is None
    assert "picture 1.png; 20" in shown.accessibleDescription()
    assert "no picture, or damaged" in shown.accessibleDescription()


def test_a_picture_that_was_altered_since_says_so(person: Person, tmp_path: Path) -> None:
    person.press(K.Key_P)
    person.type(str(picture(tmp_path / "core.png")))
    shown = person.window.record.pictures
    person.qtbot.waitUntil(lambda: bool(shown.thumbnails))
    kept = store_path().parent / "attachments" / entries()[-1].body["file"]
    kept.chmod(0o644)
    kept.write_bytes(b"another")
    person.press(K.Key_V)
    person.qtbot.waitUntil(lambda: "was altered" in person.window.record.head.chain.text())


def test_a_picture_that_is_not_there_is_refused_and_said(person: Person, tmp_path: Path) -> None:
    person.press(K.Key_P)
    person.type(str(tmp_path / "nowhere.jpg"))
    person.qtbot.waitUntil(lambda: "no such file" in person.said())
    assert entries() == []


def test_a_note_that_could_not_be_kept_is_named_whole(
    person: Person, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(*given: object) -> None:
        raise RecordProblem("the record is held by another program")

    monkeypatch.setattr(Store, "append", refuse)
    text = "screws of the upper bracket in bag 4, those of the lower one are lost, take M4 x 30 with insulated washers"
    person.press(K.Key_N)
    person.type(text)
    person.qtbot.waitUntil(lambda: "the record is held" in person.said())
    assert text in person.said()
    person.leave()
    assert text not in capsys.readouterr().err  # it was on the window
    person.window.record._acts_of._note(NUMBER, (text,))
    line = capsys.readouterr().err
    assert line.startswith("turnproof: not kept: note for")
    assert line.endswith("the record is held by another program\n")
    assert text in line


# -- finding -----------------------------------------------------------------------------------------


def test_one_is_found_among_300_by_what_is_typed(many: None, person: Person) -> None:
    record = person.window.record
    person.qtbot.waitUntil(lambda: len(record.jobs.rows) == 301)
    person.press(K.Key_Slash)
    QTest.keyClicks(record.search, "lot 142")
    assert [one.words for one in record.jobs.rows] == ["W-142"]
    assert record.how_many.text() == "1 of 301 jobs"
    person.qtbot.waitUntil(
        lambda: "W-142" in record.head.name.text() and "W-142.toml, as it was then" in words_of(person)
    )
    record.search.clear()
    QTest.keyClicks(record.search, "rejected")
    assert {one.shape for one in record.jobs.rows} == {Shape.CROSS}
    assert len(record.jobs.rows) == 100


def test_figures_in_the_search_are_text_and_enter_reads_the_history(many: None, person: Person) -> None:
    record = person.window.record
    person.qtbot.waitUntil(lambda: len(record.jobs.rows) == 301)
    person.press(K.Key_Slash)
    QTest.keyClicks(record.search, "w-123")
    assert person.window.face is record
    QTest.keyClick(record.search, K.Key_Return)
    person.qtbot.waitUntil(lambda: "back to the jobs" in person.offered())
    person.press(K.Key_Escape)
    assert "read its history" in person.offered()


def test_the_job_that_is_open_is_there_before_anything_is_kept(person: Person) -> None:
    assert person.window.record.jobs.rows[0].words == NUMBER
    assert "nothing kept yet" in person.window.record.jobs.rows[0].under
    assert sign_of_record(person.desk.state) is Shape.RING


def _open_of_many(person: Person, number: str) -> None:
    record = person.window.record
    person.qtbot.waitUntil(lambda: len(record.jobs.rows) == 301)
    person.press(K.Key_Slash)
    QTest.keyClicks(record.search, number)
    QTest.keyClick(record.search, K.Key_Return)
    person.press(K.Key_Escape)
    person.press(K.Key_O)


def test_another_job_is_opened_beside_the_one_that_is(many: None, person: Person, path: Path) -> None:
    other = path.with_name("W-007.toml")
    other.write_text(path.read_text(encoding="utf-8").replace(NUMBER, "W-007"), encoding="utf-8")
    _open_of_many(person, "w-007")
    assert person.desk.state.job is not None
    assert person.desk.state.job.identity.number == "W-007"


def test_a_job_file_that_is_gone_is_asked_for(many: None, person: Person, path: Path) -> None:
    moved = path.with_name("moved.toml")
    moved.write_text(path.read_text(encoding="utf-8").replace(NUMBER, "W-008"), encoding="utf-8")
    _open_of_many(person, "w-008")
    assert f"W-008.toml is not in {path.parent}" in person.said()
    person.type(str(path))
    assert f"is job {NUMBER}, expected W-008" in person.window.asker.problem.text()
    person.type(str(moved))
    assert person.desk.state.path == moved


# -- reading -----------------------------------------------------------------------------------------


@pytest.fixture
def long_record(home: Path) -> None:
    """Ten thousand entries, counts broken by corrections."""
    with open_store() as store:
        store._connection.exec_driver_sql("PRAGMA synchronous=OFF")
        store.append(NUMBER, Kind.JOB_FILE, {"file": "receiver.toml", "text": ""})
        for go in range(100):
            for turn in range(98):
                store.append(NUMBER, Kind.COUNT, {"winding": "ht", "turns": go + turn / 100})
            store.append(NUMBER, Kind.CORRECTION, {"winding": "ht", "turns": float(go), "reason": "counted again"})


def test_ten_thousand_entries_are_read_a_page_at_a_time_to_the_first(long_record: None, person: Person) -> None:
    record = person.window.record
    person.qtbot.waitUntil(lambda: len(record.history.rows) > 20)
    assert len(record.history.rows) < 150
    assert "ht: 98 counts, from 99 to 99.97 turns" in words_of(person)
    person.press(K.Key_Return)
    slowest = 0.0
    deadline = time.monotonic() + 20
    while "receiver.toml, as it was then" not in words_of(person) and time.monotonic() < deadline:
        begun = time.monotonic()
        person.press(K.Key_PageDown)
        slowest = max(slowest, time.monotonic() - begun)
    assert "receiver.toml, as it was then" in words_of(person)
    assert slowest < 1.0


def test_the_history_is_told_in_plain_words_by_what_was_done(home: Path, qtbot: QtBot, path: Path) -> None:
    with open_store() as store:
        for kind, body in (
            (Kind.AS_FOUND, {"part": "resistance", "winding": "primary", "resistance": 3.42}),
            (Kind.WINDING_DONE, {"winding": "primary", "turns": 662.0, "target": 662}),
            (Kind.RESTACK, {"part": "judged", "warnings": ["gap"], "not_answered": []}),
            (Kind.STEP, {"id": "ratio:ht", "label": "ratio of ht", "measured": 2.3, "unit": "", "verdict": "rejected"}),
            (Kind.RESULT, {"verdict": "rejected", "steps": [1, 2], "findings": [], "not_done": []}),
        ):
            store.append(NUMBER, kind, body)
    person = Person(qtbot, path)
    try:
        person.press(K.Key_6)
        person.qtbot.waitUntil(lambda: len(words_of(person)) == 9)
        assert words_of(person) == [
            "tested", "test ended rejected, 2 steps", "ratio of ht: 2.3, rejected", "restacked",
            "judged: warned of: gap", "wound", "primary: done, 662 of 662 turns", "surveyed",
            "primary: resistance 3.420 ohm as found",
        ]  # fmt: skip
        assert person.window.record.head.sign.accessibleName() == Shape.CROSS.value
    finally:
        person.leave()


# -- what is handed out, and whether it is whole -------------------------------------------------------


def test_an_altered_entry_is_found(person: Person) -> None:
    for text in ("first", "second"):
        person.press(K.Key_N)
        person.type(text)
        person.qtbot.waitUntil(lambda text=text: text in words_of(person))
    person.press(K.Key_V)
    person.qtbot.waitUntil(lambda: "2 entries, chain whole" in person.window.record.head.chain.text())
    assert sign_of_record(person.desk.state) is Shape.TICK
    tampered("UPDATE entry SET body = ? WHERE seq = 1", '{"text":"another"}')
    person.press(K.Key_V)
    person.qtbot.waitUntil(lambda: "entry 1 (note) was altered" in person.window.record.head.chain.text())
    assert sign_of_record(person.desk.state) is Shape.CROSS
    assert person.desk.state.said[0].grave


def test_a_record_that_can_not_be_read_says_so_and_the_window_goes_on(person: Person) -> None:
    person.press(K.Key_N)
    person.type("first")
    person.qtbot.waitUntil(lambda: "first" in words_of(person))
    tampered("UPDATE entry SET body = 'no JSON' WHERE seq = 1")
    person.press(K.Key_1)
    person.press(K.Key_6)
    person.qtbot.waitUntil(lambda: person.window.record.head.whole.accessibleName() == Shape.BANG.value)
    assert person.window.face is person.window.record


def _keep_tested(store: Store, path: Path) -> None:
    """A job file and an accepted test, as short as one can be."""
    store.append(NUMBER, Kind.JOB_FILE, {"file": path.name, "text": path.read_text(encoding="utf-8")})
    body = {"verdict": "accepted", "steps": [], "findings": [], "not_done": [], "next": None}
    store.append(NUMBER, Kind.RESULT, body)


def test_a_certificate_is_written_and_shown(
    home: Path, qtbot: QtBot, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[QUrl] = []
    monkeypatch.setattr(QDesktopServices, "openUrl", shown.append)
    with open_store() as store:
        _keep_tested(store, path)
    person = Person(qtbot, path)
    try:
        person.press(K.Key_6)
        person.qtbot.waitUntil(lambda: "certificate" in person.offered())
        person.press(K.Key_C)
        person.type(str(tmp_path / "receiver.html"))
        person.qtbot.waitUntil(lambda: bool(shown))
        assert shown == [QUrl.fromLocalFile(str(tmp_path / "receiver.html"))]
        assert NUMBER in (tmp_path / "receiver.html").read_text(encoding="utf-8")
        person.press(K.Key_C)
        (tmp_path / "receiver.html").write_text("another", encoding="utf-8")
        person.type(str(tmp_path / "receiver.html"))
        assert "write over it?" in person.window.asker.what.text()
        person.type("")
        person.type("no")
        assert (tmp_path / "receiver.html").read_text(encoding="utf-8") == "another"
        person.press(K.Key_C)
        person.type(str(tmp_path / "receiver.html"))
        person.type("yes")
        person.qtbot.waitUntil(lambda: len(shown) == 2)
        assert NUMBER in (tmp_path / "receiver.html").read_text(encoding="utf-8")
        # Neither the name that is offered nor one in a folder is written over unasked, and a full disk spoils nothing.
        monkeypatch.chdir(tmp_path)
        there = tmp_path / f"{NUMBER} certificate.pdf"
        there.write_text("the old one", encoding="utf-8")
        monkeypatch.setattr(os, "fsync", _full)
        for typed in ("", str(tmp_path)):
            person.press(K.Key_C)
            person.type(typed)
            assert "write over it?" in person.window.asker.what.text()
            person.type("yes")
        person.qtbot.waitUntil(lambda: person.said().count("No space left") == 2)
        assert there.read_text(encoding="utf-8") == "the old one"
        assert not list(tmp_path.glob(".*.new"))
    finally:
        person.leave()


def test_an_amended_certificate_asks_for_its_reason(
    home: Path, qtbot: QtBot, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[QUrl] = []
    monkeypatch.setattr(QDesktopServices, "openUrl", shown.append)
    with open_store() as store:
        _keep_tested(store, path)
        certificate_as_file(store, NUMBER, tmp_path / "first.html", over=False)
        store.append(NUMBER, Kind.NOTE, {"text": "sleeved anew"})
    person = Person(qtbot, path)
    try:
        person.press(K.Key_6)
        person.qtbot.waitUntil(lambda: "certificate" in person.offered())
        person.press(K.Key_C)
        person.type(str(tmp_path / "second.html"))
        person.qtbot.waitUntil(lambda: person.window.asker.what.text().startswith("why the certificate of "))
        assert "sleeved anew" in person.said()
        person.type("x")
        assert not (tmp_path / "second.html").exists()
        person.type("a lead was sleeved anew")
        person.qtbot.waitUntil(lambda: bool(shown))
        assert "amendment 1 to the certificate of" in (tmp_path / "second.html").read_text(encoding="utf-8")
    finally:
        person.leave()


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080), (1180, 700), (3840, 2160)])
def test_no_text_is_clipped(person: Person, tmp_path: Path, size: tuple[int, int]) -> None:
    person.window.resize(*size)
    person.press(K.Key_N)
    person.type("a long note " * 15)
    person.qtbot.waitUntil(lambda: bool(words_of(person)))
    QApplication.processEvents()
    labels = [one for one in person.window.record.findChildren(FitLabel) if one.isVisible() and one.text()]
    assert len(labels) >= 5
    assert [one.text() for one in labels if not one.fits()] == []
