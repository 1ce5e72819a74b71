"""The record: append-only, chained, and plain about what is wrong with it."""

from __future__ import annotations

import multiprocessing
import sqlite3
from pathlib import Path

import pytest

from bench.records.entry import GENESIS, Kind, canonical
from bench.records.problem import RecordProblem
from bench.records.store import Store


def _filled(path: Path, entries: int = 5) -> None:
    with Store(path) as store:
        for number in range(entries):
            store.append("J-1", Kind.COUNT, {"turns": float(number)})


def _tamper(path: Path, statement: str) -> None:
    """What somebody with a database tool could do, the triggers taken off first."""
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER entry_no_update")
    connection.execute("DROP TRIGGER entry_no_delete")
    connection.execute(statement)
    connection.commit()
    connection.close()


def test_entries_come_back_in_order_and_the_chain_is_whole(tmp_path: Path) -> None:
    _filled(tmp_path / "r.sqlite")
    with Store(tmp_path / "r.sqlite") as store:
        assert [entry.body["turns"] for entry in store.entries("J-1")] == [0.0, 1.0, 2.0, 3.0, 4.0]
        assert store.entries("J-1")[0].previous == GENESIS
        assert store.verify("J-1") == []
        assert store.jobs() == ["J-1"]


def test_each_job_has_a_chain_of_its_own(tmp_path: Path) -> None:
    with Store(tmp_path / "r.sqlite") as store:
        store.append("A", Kind.NOTE, {"text": "one"})
        store.append("B", Kind.NOTE, {"text": "two"})
        assert store.append("A", Kind.NOTE, {"text": "three"}).seq == 2
        assert store.verify("A") == store.verify("B") == []


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("UPDATE entry SET body = '{\"turns\":99.0}' WHERE seq = 3", "entry 3 (count) was altered"),
        ("UPDATE entry SET at = '2020-01-01' WHERE seq = 2", "entry 2 (count) was altered"),
        ("DELETE FROM entry WHERE seq = 3", "entry 3 is missing"),
        ("UPDATE entry SET seq = seq + 10 WHERE seq = 5", "entry 5 is missing"),
    ],
)
def test_what_was_done_to_the_chain_is_named(tmp_path: Path, statement: str, told: str) -> None:
    _filled(tmp_path / "r.sqlite")
    _tamper(tmp_path / "r.sqlite", statement)
    with Store(tmp_path / "r.sqlite") as store:
        assert f"J-1: {told}" in store.verify("J-1")


@pytest.mark.parametrize("statement", ["UPDATE entry SET body = '{}'", "DELETE FROM entry"])
def test_the_database_itself_refuses_to_change_what_was_measured(tmp_path: Path, statement: str) -> None:
    _filled(tmp_path / "r.sqlite")
    connection = sqlite3.connect(tmp_path / "r.sqlite")
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        connection.execute(statement)
    connection.close()


def _append_many(path: Path, who: str) -> None:
    with Store(path) as store:
        for number in range(40):
            store.append("J-1", Kind.NOTE, {"who": who, "number": number})


def test_two_programs_may_append_to_one_job_at_once(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    _filled(path, 1)
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=_append_many, args=(path, who)) for who in ("one", "two")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
    with Store(path) as store:
        assert len(store.entries("J-1")) == 81
        assert store.verify("J-1") == []


def test_a_newer_record_is_refused(tmp_path: Path) -> None:
    connection = sqlite3.connect(tmp_path / "r.sqlite")
    connection.execute("PRAGMA user_version = 7")
    connection.close()
    with pytest.raises(RecordProblem, match=r"version 7 is newer than this program, expected 1"):
        Store(tmp_path / "r.sqlite")


def test_a_file_that_is_no_database_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "r.sqlite").write_bytes(b"this is a shopping list, and no record at all" * 100)
    with pytest.raises(RecordProblem, match=r"r\.sqlite: the record can't be opened: .*not a database") as told:
        Store(tmp_path / "r.sqlite")
    assert "\n" not in str(told.value)


def test_a_full_disk_is_told_in_one_line_and_nothing_stored_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "r.sqlite"
    _filled(path)
    with Store(path) as store:
        store._connection.exec_driver_sql("PRAGMA max_page_count = 1")
        store._connection.rollback()
        with pytest.raises(RecordProblem, match=r"not stored: .*full") as told:
            store.append("J-1", Kind.NOTE, {"text": "x" * 200_000})
        assert "\n" not in str(told.value)
        assert store.verify("J-1") == []
        assert len(store.entries("J-1")) == 5


def test_what_json_can_t_say_is_no_entry() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical({"turns": float("nan")})


def test_the_same_content_gives_the_same_bytes() -> None:
    assert canonical({"b": 1, "a": [1, 2]}) == canonical({"a": [1, 2], "b": 1}) == '{"a":[1,2],"b":1}'
