"""The record: append-only, chained, and plain about what is wrong with it."""

from __future__ import annotations

import itertools
import multiprocessing
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.records import schema
from bench.records.entry import GENESIS, Kind, canonical, entry_hash
from bench.records.problem import RecordProblem
from bench.records.schema import copy_of
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
    with pytest.raises(RecordProblem, match=r"version 7 is newer than this program, expected 3"):
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


COUNTS = (Kind.COUNT, Kind.STRIP_COUNT)
_KINDS = st.lists(st.sampled_from([Kind.COUNT, Kind.COUNT, Kind.STRIP_COUNT, Kind.NOTE, Kind.MARK]), max_size=30)


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """One for all examples, each of which has a job of its own."""
    with Store(tmp_path_factory.mktemp("many") / "r.sqlite") as store:
        store._connection.exec_driver_sql("PRAGMA synchronous=OFF")
        yield store


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(_KINDS)
def test_of_counts_that_follow_each_other_the_first_and_the_last_are_landmarks(many: Store, kinds: list[Kind]) -> None:
    job = f"J-{len(many.jobs())}"
    many.append(f"{job}-beside", Kind.COUNT, {"turns": 0})
    for number, kind in enumerate(kinds):
        many.append(job, kind, {"turns": number})
    wanted = []
    for running, run in itertools.groupby(range(len(kinds)), key=lambda at: kinds[at] in COUNTS):
        places = list(run)
        wanted += sorted({places[0], places[-1]}) if running else places
    assert [one.seq for one in many.landmarks(job)] == [place + 1 for place in wanted]
    assert [one.seq for one in many.landmarks_before(job, None, 5)] == [place + 1 for place in wanted[::-1][:5]]
    assert [one.seq for one in many.landmarks_before(job, 7, 50)] == [p + 1 for p in wanted[::-1] if p + 1 < 7]


def test_of_some_kinds_each_entry_comes_also_between_counts_of_another_winding(tmp_path: Path) -> None:
    with Store(tmp_path / "r.sqlite") as store:
        for winding in ("primary", "heater"):
            for off in (1.0, 2.0, 3.0):
                store.append("J-1", Kind.STRIP_COUNT, {"winding": winding, "off": off})
        store.append("J-1", Kind.NOTE, {"text": "x"})
        found = store.entries_of("J-1", (Kind.STRIP_COUNT, Kind.STRIP_GO))
    assert [(one.body["winding"], one.body["off"]) for one in found][2] == ("primary", 3.0)
    assert len(found) == 6


_FIRST_VERSION = (
    "CREATE TABLE entry (id INTEGER NOT NULL, job VARCHAR(40) NOT NULL, seq INTEGER NOT NULL,"
    " kind VARCHAR(20) NOT NULL, at VARCHAR(40) NOT NULL, monotonic FLOAT NOT NULL,"
    " body TEXT NOT NULL, previous VARCHAR(64) NOT NULL,"
    " hash VARCHAR(64) NOT NULL, PRIMARY KEY (id), UNIQUE (job, seq))",
    "CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END",
    "CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END",
    "PRAGMA user_version = 1",
)


def _of_first_version(path: Path) -> str:
    """A record as the first version made it, with two entries; its head."""
    with closing(sqlite3.connect(path)) as connection:
        for statement in _FIRST_VERSION:
            connection.execute(statement)
        previous = GENESIS
        for seq in (1, 2):
            body = canonical({"text": f"note {seq}"})
            digest = entry_hash("J-1", seq, "note", "2026-01-01T00:00:00+00:00", 1.0, body, previous)
            connection.execute(
                "INSERT INTO entry (job, seq, kind, at, monotonic, body, previous, hash)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                ("J-1", seq, "note", "2026-01-01T00:00:00+00:00", 1.0, body, previous, digest),
            )
            previous = digest
        connection.commit()
    return previous


def test_a_record_of_the_first_version_goes_on_and_is_kept_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    head = _of_first_version(path)
    with Store(path) as store:
        assert store.head("J-1") == head
        assert store.append("J-1", Kind.NOTE, {"text": "note 3"}).seq == 3
        assert store.verify("J-1") == []
    with closing(sqlite3.connect(copy_of(path, 1))) as kept:
        assert kept.execute("PRAGMA user_version").fetchone() == (1,)
        assert kept.execute("SELECT count(*), max(hash) FROM entry WHERE seq = 2").fetchone() == (1, head)
        assert kept.execute("SELECT count(*) FROM entry").fetchone() == (2,)
    with Store(path) as again:
        assert again.count("J-1") == 3


def test_where_no_copy_can_be_kept_an_older_record_is_left_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    _of_first_version(path)
    (tmp_path / f"records.version-1.sqlite.{os.getpid()}.part").mkdir()
    with pytest.raises(RecordProblem, match="a copy must be kept before its version is raised"):
        Store(path)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (1,)
        assert connection.execute("SELECT count(*) FROM sqlite_master WHERE name = 'entry_kind'").fetchone() == (0,)


def test_a_copy_of_an_older_version_that_is_there_stays(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    _of_first_version(path)
    _of_first_version(copy_of(path, 1))
    with closing(sqlite3.connect(copy_of(path, 1))) as kept:
        kept.execute(
            "INSERT INTO entry SELECT 9, 'kept', 1, kind, at, monotonic, body, previous, hash FROM entry WHERE seq = 1"
        )
        kept.commit()
    with Store(path):
        pass
    with closing(sqlite3.connect(copy_of(path, 1))) as kept:
        assert kept.execute("SELECT count(*) FROM entry WHERE job = 'kept'").fetchone() == (1,)
    assert [one.name for one in tmp_path.iterdir() if "part" in one.name] == []


def test_a_record_that_could_not_be_opened_holds_no_lock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "records.sqlite"
    _of_first_version(path)
    monkeypatch.setattr(schema, "_STEPS", {2: ("CREATE INDEX nonsense ON nowhere (x)",)})
    with pytest.raises(RecordProblem) as problem:
        Store(path)
    monkeypatch.undo()
    with Store(path) as store:
        assert store.append("J-1", Kind.NOTE, {"text": "goes on"}).seq == 3
    assert "nowhere" in str(problem.value)
