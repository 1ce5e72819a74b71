"""The album of a job, at the record and at the survey: leafed through, marked and captioned by keys alone."""

from __future__ import annotations

import struct
import threading
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from bench.dashboard.album import thumbnails
from bench.dashboard.album.album_acts import AlbumActs
from bench.dashboard.survey.face import Page
from bench.records.entry import Kind
from bench.sitting.attaching import keep_note, keep_picture
from bench.sitting.opening import open_store
from tests.dashboard.working import NUMBER, Person, a_job, at_a_face, entries

K = Qt.Key


def _picture(path: Path, wide: int = 600, high: int = 400) -> Path:
    image = QImage(wide, high, QImage.Format.Format_RGB32)
    image.fill(QColor("#8899aa"))
    assert image.save(str(path))
    return path


@pytest.fixture
def path(home: Path, tmp_path: Path) -> Path:
    """A job with a picture of a winding, one that is damaged, one that claims too much, and a note."""
    damaged, claims = tmp_path / "damaged.jpg", tmp_path / "claims.png"
    damaged.write_bytes(b"\xff\xd8 no more of it")
    data = bytearray(_picture(claims).read_bytes())
    data[16:24] = struct.pack(">II", 60_000, 60_000)
    data[29:33] = struct.pack(">I", zlib.crc32(data[12:29]))
    claims.write_bytes(data)
    with open_store() as store:
        keep_picture(store, NUMBER, _picture(tmp_path / "a.png"), {"caption": "lead dress", "winding": "ht"})
        keep_picture(store, NUMBER, damaged)
        keep_picture(store, NUMBER, claims, {"caption": "a bomb"})
        keep_note(store, NUMBER, "a note that is long, " * 12 + "and ends here")
    return a_job(tmp_path)


@pytest.fixture
def person(qtbot: QtBot, path: Path) -> Iterator[Person]:
    with at_a_face(qtbot, path, K.Key_6, lambda made: bool(made.window.record.jobs.rows)) as made:
        yield made


def _open(person: Person, album: AlbumActs) -> None:
    person.qtbot.waitUntil(lambda: "pictures, notes" in person.offered())
    person.press(K.Key_G)
    person.qtbot.waitUntil(lambda: len(album.page.rows.rows) == 4)
    _seen(person, album)


def _seen(person: Person, album: AlbumActs) -> None:
    """Wait until the picture is opened."""
    person.qtbot.waitUntil(lambda: len(album.page.picture.thumbnails) == 1)
    person.qtbot.waitUntil(lambda: album.page.picture.thumbnails[0].picture == album.choice.picture)


def test_it_is_leafed_through_and_looked_at_large_by_keys(person: Person) -> None:
    album = person.window.record.album
    _open(person, album)
    page = album.page
    assert page.title.text() == f"{NUMBER}: 3 pictures, 0 on the certificate; 1 note"
    assert page.rows.rows[0].told.startswith("lead dress, of ht, 20")
    assert page.picture.thumbnails[0].image is not None
    person.qtbot.waitUntil(lambda: page.rows.rows[0].small is not None)
    assert [one.small is not None for one in page.rows.rows] == [True, False, False, False]
    person.press(K.Key_Return)
    assert not page.rows.isVisible()
    person.press(K.Key_Escape)
    assert page.rows.isVisible()
    person.press(K.Key_Down)
    _seen(person, album)
    assert page.picture.thumbnails[0].problem == "no picture, or damaged"
    person.press(K.Key_Down)
    _seen(person, album)
    assert "60000 x 60000 pixels" in page.picture.thumbnails[0].problem
    person.press(K.Key_Down)
    assert page.note.isVisible()
    assert page.note.text().endswith("and ends here")
    assert page.note.fits()
    person.press(K.Key_Down)
    assert album.choice.place == 3
    person.press(K.Key_Escape)
    assert not album.is_open
    assert person.window.record.jobs.isVisible()
    assert "pictures, notes" in person.offered()


def test_a_key_marks_it_for_the_certificate_and_takes_it_off(person: Person) -> None:
    album = person.window.record.album
    _open(person, album)
    assert "put it on the certificate" in person.offered()
    person.press(K.Key_M)
    person.qtbot.waitUntil(lambda: "take it off the certificate" in person.offered())
    assert entries()[-1].kind == Kind.PICTURE
    assert entries()[-1].body == {"of": 1, "on_certificate": True}
    assert "on the certificate" in album.page.rows.rows[0].told
    assert "1 on the certificate" in album.page.title.text()
    assert "lead dress: on the certificate, from now on" in person.said()
    _seen(person, album)
    assert "on the certificate" in album.page.picture.accessibleDescription()
    person.press(K.Key_M)
    person.qtbot.waitUntil(lambda: "put it on the certificate" in person.offered())
    assert entries()[-1].body == {"of": 1, "on_certificate": False}


def test_a_caption_is_typed_and_one_that_is_none_is_asked_again(person: Person) -> None:
    album = person.window.record.album
    _open(person, album)
    person.press(K.Key_T)
    person.type("x" * 201)
    assert "expected from 1 to 200" in person.window.asker.problem.text()
    person.window.asker.line.clear()
    person.type("screen, its ends apart")
    person.qtbot.waitUntil(lambda: "screen, its ends apart" in album.page.rows.rows[0].told)
    assert entries()[-1].body == {"of": 1, "caption": "screen, its ends apart"}


def test_another_picture_is_kept_and_looked_at(person: Person, tmp_path: Path) -> None:
    album = person.window.record.album
    _open(person, album)
    person.press(K.Key_P)
    person.type(str(_picture(tmp_path / "IMG_20260304_101112.png", 40, 30)))
    person.type("stack, from above")
    person.qtbot.waitUntil(lambda: len(album.page.rows.rows) == 5)
    assert album.choice.picture is not None
    assert (album.choice.picture.caption, album.choice.picture.name) == ("stack, from above", "picture 4.png")
    assert "20260304" not in str([one.body for one in entries()])


def test_the_album_of_the_survey_is_the_same(person: Person) -> None:
    person.press(K.Key_1)
    survey = person.window.survey
    _open(person, survey.album)
    assert survey.page is Page.ALBUM
    person.press(K.Key_M)
    person.qtbot.waitUntil(lambda: "take it off the certificate" in person.offered())
    person.press(K.Key_Escape)
    person.qtbot.waitUntil(lambda: survey.page is Page.OVERVIEW)
    assert "pictures, notes" in person.offered()


def test_pictures_are_opened_beside_the_window(person: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    threads: list[str] = []
    opened = thumbnails._read

    def watched(path: Path, side: int) -> tuple[QImage | None, str]:
        threads.append(threading.current_thread().name)
        return opened(path, side)

    monkeypatch.setattr(thumbnails, "_read", watched)
    album = person.window.record.album
    _open(person, album)
    person.press(K.Key_Down)
    _seen(person, album)
    assert len(threads) >= 2
    assert all(one.startswith("reckoning") for one in threads)


def test_another_job_in_the_record_has_its_own_album(person: Person) -> None:
    with open_store() as store:
        store.append("W-1", Kind.NOTE, {"text": "nothing but this"})
    person.press(K.Key_1)
    person.press(K.Key_6)
    person.qtbot.waitUntil(lambda: len(person.window.record.jobs.rows) == 2)
    number = NUMBER
    while number != "W-1":
        person.press(K.Key_Up)
        number = person.window.record._acts_of.choice.number
    album = person.window.record.album
    person.press(K.Key_G)
    person.qtbot.waitUntil(lambda: len(album.page.rows.rows) == 1)
    assert album.page.note.text() == "nothing but this"
    assert "put it on the certificate" not in person.offered()
