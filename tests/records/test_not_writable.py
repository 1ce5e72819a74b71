"""A record that may not be written is read as it stands; a held one is waited for; a damaged one says what is gone."""

from __future__ import annotations

import os
import shutil
import sqlite3
import threading
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bench.records import store as store_module
from bench.records.as_it_stands import StoreAsItStands, can_only_be_read
from bench.records.clock import behind_words, set_back
from bench.records.damage import damage_of_file
from bench.records.entry import Kind
from bench.records.problem import RecordProblem
from bench.records.store import Store
from tests.records.test_store import _of_first_version

WHY = RecordProblem("it may not be written")


def _filled(path: Path, jobs: tuple[str, ...] = ("J-1",)) -> None:
    with Store(path) as store:
        for number in range(12):
            store.append(jobs[number % len(jobs)], Kind.NOTE, {"number": number, "text": "y" * 900})


def test_it_is_read_as_it_stands_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path, told = tmp_path / "r.sqlite", list[str]()
    _filled(path)
    before = sorted(one.name for one in tmp_path.iterdir())
    with StoreAsItStands(path, WHY, told.append) as store:
        assert store.count("J-1") == 12
        assert store.verify("J-1") == []
    assert told == [f"{path}: read as it stands, nothing can be stored: it may not be written"]
    assert sorted(one.name for one in tmp_path.iterdir()) == before


def test_what_stands_in_its_log_is_read_too(tmp_path: Path) -> None:
    path = tmp_path / "left" / "r.sqlite"
    with Store(tmp_path / "working" / "r.sqlite") as store:
        store.append("J-1", Kind.NOTE, {"text": "only in the log"})
        shutil.copytree(store.path.parent, path.parent, ignore=shutil.ignore_patterns("*-shm"))
    before = {one: one.read_bytes() for one in path.parent.iterdir()}
    with StoreAsItStands(path, WHY) as store:
        assert [one.body["text"] for one in store.entries("J-1")] == ["only in the log"]
    assert {one: one.read_bytes() for one in path.parent.iterdir()} == before


def test_what_is_to_be_stored_is_refused_and_said_once(tmp_path: Path) -> None:
    path, told = tmp_path / "r.sqlite", list[str]()
    _filled(path)
    with (
        StoreAsItStands(path, WHY, told.append) as store,
        pytest.raises(RecordProblem, match=r"not stored: it may not be written"),
    ):
        store.append("J-1", Kind.NOTE, {"text": "x"})
    assert told == []


def test_one_of_the_first_version_is_read_without_being_raised(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    head = _of_first_version(path)
    with StoreAsItStands(path, WHY) as store:
        assert store.head("J-1") == head
        assert len(store.landmarks("J-1")) == 2
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (1,)


def test_a_record_of_a_newer_program_is_not_read_as_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 7")
    with pytest.raises(RecordProblem, match=r"record version 7, expected 1 to \d"):
        StoreAsItStands(path, WHY)


def test_only_what_may_not_be_written_is_only_read(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    path.write_bytes(b"a shopping list" * 300)
    with pytest.raises(RecordProblem) as no_database:
        Store(path)
    assert not can_only_be_read(path, no_database.value)
    for code in (13, 28, 30):  # not permitted, no space left, a file system that is read-only
        problem = RecordProblem("can't be opened")
        problem.__cause__ = OSError(code, os.strerror(code))
        assert can_only_be_read(path, problem)


def test_a_record_that_another_program_holds_is_waited_for_and_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store_module, "_TOLD_AFTER_S", 0.1)
    path, told = tmp_path / "r.sqlite", list[str]()
    _filled(path)
    holder = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    holder.execute("BEGIN EXCLUSIVE")
    threading.Timer(0.6, holder.execute, ("ROLLBACK",)).start()
    with Store(path) as store:
        store.waiting = told.append
        begun = time.monotonic()
        entry = store.append("J-1", Kind.NOTE, {"text": "in spite of it"})
        assert time.monotonic() - begun > 0.4
        assert entry.seq == 13
    holder.close()
    assert told == [f"{path}: another program holds the record: waited for up to a minute; close it there"]


def _damaged(path: Path, needle: bytes, with_what: bytes) -> None:
    data = path.read_bytes()
    place = data.index(needle)
    path.write_bytes(data[:place] + with_what + data[place + len(with_what) :])


def test_a_damaged_page_is_named_and_the_other_job_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    with Store(path) as store:
        for job in ("J-1", "J-2"):
            for number in range(12):
                store.append(job, Kind.NOTE, {"number": number, "text": "y" * 900})
    data = path.read_bytes()
    page = next(at for at in range(0, len(data), 4096) if b'{"number":3,' in data[at : at + 4096])
    path.write_bytes(data[:page] + bytes(4096) + data[page + 4096 :])
    with Store(path) as store:
        told = store.verify("J-1")
        assert len(told) == 1
        assert "J-1: entries that can't be read any more: " in told[0]
        assert store.verify("J-2") == []
        assert damage_of_file(store.connection) != ""


def test_a_text_that_is_none_any_more_is_an_altered_entry(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    _filled(path)
    _damaged(path, b'yyyyyyyyyy"}', b"yyyyy\xff\xfeyyy")
    with Store(path) as store:
        told = store.verify("J-1")
        assert len(told) == 1
        assert told[0].endswith("(note) was altered")
        assert store.count("J-1") == 12


def test_a_text_that_became_bytes_is_an_altered_entry(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    _filled(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER entry_no_update")
        connection.execute("UPDATE entry SET body = CAST(body AS BLOB) WHERE seq = 4")
        connection.commit()
    with Store(path) as store:
        assert store.verify("J-1") == ["J-1: entry 4 (note) was altered"]


def test_a_body_that_can_t_be_read_is_a_problem_in_one_line(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    _filled(path)
    _damaged(path, b'{"number":7,', b"]]")
    with (
        Store(path) as store,
        pytest.raises(RecordProblem, match=r"^J-1: entry 8 is damaged: turnproof record verify J-1$"),
    ):
        store.entries("J-1")


def test_a_clock_that_was_set_back_is_said_when_the_record_is_opened(tmp_path: Path) -> None:
    path, now = tmp_path / "r.sqlite", datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
    with Store(path, utcnow=lambda: now) as store:
        store.append("J-1", Kind.NOTE, {"text": "x"})
    with Store(path, utcnow=lambda: now - timedelta(hours=1)) as store:
        assert store.said == (
            f"{path}: this computer's clock says 2026-05-01 11:00 UTC, the newest entry 2026-05-01 12:00 UTC, "
            "60 minutes later: one of them is wrong; entries stay in the order in which they are kept",
        )
        assert store.append("J-1", Kind.NOTE, {"text": "y"}).seq == 2
    with Store(path, utcnow=lambda: now) as store:
        assert store.said == ()
        assert [one.body["text"] for one in store.entries("J-1")] == ["x", "y"]


def test_a_clock_that_was_put_right_by_seconds_is_no_matter() -> None:
    now = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
    assert behind_words((now + timedelta(seconds=90)).isoformat(), now) == ""
    assert behind_words("no time at all", now) == ""
    assert set_back("2026-05-02T12:00:00+00:00", "2026-05-01T12:00:00+00:00") == timedelta(days=1)
