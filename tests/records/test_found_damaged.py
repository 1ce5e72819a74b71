"""A record whose write-ahead log was cut, torn or taken away while nobody looked."""

from __future__ import annotations

import json
import os
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from bench.records.entry import Kind
from bench.records.log_end import ends_unfinished, log_of
from bench.records.newest import NewestLines
from bench.records.store import Store
from tests.campaigns.store.log_damaged import cut, torn

ENTRIES = 30


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[int]]:
    """The folder of a program that was killed after so many entries, and how long the log was after each."""
    folder = tmp_path_factory.mktemp("left")
    sizes = []
    with Store(folder / "working" / "r.sqlite") as store:
        for number in range(ENTRIES):
            store.append(f"J-{number % 2}", Kind.COUNT, {"turns": number, "note": "ohm é" * (number % 4) * 20})
            sizes.append(log_of(store.path).stat().st_size)
        shutil.copytree(store.path.parent, folder / "left", ignore=shutil.ignore_patterns("*-shm"))
    return folder / "left", sizes


@pytest.fixture
def path(left: tuple[Path, list[int]], tmp_path: Path) -> Path:
    """A copy of it, to be damaged."""
    return Path(shutil.copytree(left[0], tmp_path / "copy")) / "r.sqlite"


def _turns(store: Store) -> list[int]:
    return sorted(int(entry.body["turns"]) for job in store.jobs() for entry in store.entries(job))


def _cut_behind(path: Path, entries: int, left: tuple[Path, list[int]], *, more: int = 0) -> None:
    """After so many entries and so many bytes of the next one, which has no line yet."""
    os.truncate(log_of(path), left[1][entries - 1] + more)
    lines = NewestLines(path).path
    lines.write_text("\n".join(lines.read_text(encoding="utf-8").split("\n")[: entries + 1]), encoding="utf-8")


def test_nothing_is_said_after_a_kill_that_hit_no_entry(path: Path) -> None:
    with Store(path) as store:
        assert store.said == ()
        assert _turns(store) == list(range(ENTRIES))
        assert log_of(path).stat().st_size == 0  # what it held is in the file itself from now on


@pytest.mark.parametrize("more", [1, 20, 24, 3000, 4120, 9000])
def test_of_an_entry_that_was_being_written_it_is_said_once_that_it_is_not_kept(
    path: Path, left: tuple[Path, list[int]], more: int
) -> None:
    _cut_behind(path, 20, left, more=more)
    with Store(path) as store:
        assert store.said == (
            f"{path}: a program ended while it stored an entry: that one is not kept, every one before it is",
        )
        assert _turns(store) == list(range(20))
        store.append("J-0", Kind.COUNT, {"turns": 20})
        assert store.verify("J-0") == store.verify("J-1") == []
    with Store(path) as store:
        assert store.said == ()


def test_a_log_that_grew_before_its_contents_were_written_is_said_to_hold_an_unfinished_entry(
    path: Path, left: tuple[Path, list[int]]
) -> None:
    _cut_behind(path, 20, left)
    with log_of(path).open("ab") as log:
        log.write(bytes(3 * 4120))
    with Store(path) as store:
        assert "that one is not kept, every one before it is" in " ".join(store.said)
        assert _turns(store) == list(range(20))


def test_what_is_left_of_an_earlier_round_of_the_log_is_no_unfinished_entry(tmp_path: Path) -> None:
    with Store(tmp_path / "r.sqlite") as store:
        for number in range(20):
            store.append("J-1", Kind.NOTE, {"number": number})
        store.connection.exec_driver_sql("PRAGMA wal_checkpoint(RESTART)").all()
        store.connection.rollback()
        size = log_of(store.path).stat().st_size
        store.append("J-1", Kind.NOTE, {"number": 20})
        assert log_of(store.path).stat().st_size == size
        assert not ends_unfinished(log_of(store.path))


@pytest.mark.parametrize("seed", range(12))
def test_a_torn_end_loses_the_entry_being_written_and_no_other(
    path: Path, left: tuple[Path, list[int]], seed: int
) -> None:
    rng = random.Random(seed)
    last = rng.randrange(2, ENTRIES)
    _cut_behind(path, last, left, more=left[1][last] - left[1][last - 1])
    torn(log_of(path), left[1][last - 1], left[1][last], rng)
    with Store(path) as store:
        assert "that one is not kept, every one before it is" in " ".join(store.said)
        assert _turns(store) == list(range(last))


def test_the_end_of_a_whole_log_is_no_unfinished_entry(left: tuple[Path, list[int]], tmp_path: Path) -> None:
    log = tmp_path / "log"
    for size in left[1]:
        log.write_bytes(log_of(left[0] / "r.sqlite").read_bytes()[:size])
        assert not ends_unfinished(log)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("damage", [cut, torn])
def test_what_a_damaged_log_took_with_it_is_put_back(
    path: Path, left: tuple[Path, list[int]], seed: int, damage: object
) -> None:
    assert callable(damage)
    damage(log_of(path), 0, left[1][-2], random.Random(seed))
    with Store(path) as store:
        assert len(store.said) == 1
        assert "missing in it, as after a damaged write-ahead log: put back, nothing is lost" in store.said[0]
        assert _turns(store) == list(range(ENTRIES))
        assert store.verify("J-0") == store.verify("J-1") == []


@pytest.mark.parametrize("gone", ["r.sqlite-wal", "r.sqlite"])
def test_a_file_that_is_gone_is_put_back(path: Path, gone: str) -> None:
    (path.parent / gone).unlink()
    with Store(path) as store:
        assert f"{ENTRIES} stored entries were missing" in store.said[0]
        assert _turns(store) == list(range(ENTRIES))
        assert store.verify("J-0") == []


def test_what_can_t_be_put_back_is_said_and_leaves_its_place_free(path: Path, left: tuple[Path, list[int]]) -> None:
    lines = NewestLines(path)
    whole = lines.path.read_text(encoding="utf-8").split("\n")
    lines.path.write_text("\n".join(whole[:11] + whole[16:]), encoding="utf-8")  # of J-0: 6, 7 (and 8 on hangs on them)
    os.truncate(log_of(path), left[1][9])
    with Store(path) as store:
        of_first, of_second = sorted(store.said)
        assert "J-0: 10 entries that were stored are lost with the write-ahead log" in of_first
        assert "J-1: 10 entries that were stored are lost" in of_second
        assert _turns_of_counts(store) == list(range(10))
        assert store.verify("J-0") == []
        (aside,) = path.parent.glob("r.sqlite-newest-2*.jsonl")
        told = aside.with_suffix(".txt").read_text(encoding="utf-8").splitlines()
        assert [one for one in told if one.partition(": ")[2] in of_first]
        assert aside.name in of_first
        assert store.last("J-0", Kind.NOTE) is None  # its place is free for those that a bundle or the server has
        assert len(aside.read_text(encoding="utf-8").split("\n")) == ENTRIES - 4
    with Store(path) as store:
        assert store.said == ()


def _turns_of_counts(store: Store) -> list[int]:
    return sorted(int(one.body["turns"]) for job in store.jobs() for one in store.entries(job, Kind.COUNT))


def test_without_its_second_copy_it_is_said_that_a_loss_can_t_be_known(
    path: Path, left: tuple[Path, list[int]]
) -> None:
    NewestLines(path).path.unlink()
    os.truncate(log_of(path), left[1][9] + 100)
    with Store(path) as store:
        assert "can't be known without r.sqlite-newest.jsonl, which is not there" in store.said[0]
        assert _turns(store) == list(range(10))


def test_a_record_that_was_altered_is_left_for_verify(path: Path) -> None:
    with Store(path):
        pass
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER entry_no_update")
        connection.execute("DROP TRIGGER entry_no_delete")
        connection.execute("DELETE FROM entry WHERE id > 20")
        connection.execute("UPDATE entry SET hash = 'x' WHERE id = 20")
        connection.commit()
    with Store(path) as store:
        assert store.said == ()
        assert store.verify("J-1") == ["J-1: entry 10 (count) was altered"]


def test_lines_of_another_record_are_put_aside_and_not_into_this_one(path: Path, tmp_path: Path) -> None:
    with Store(tmp_path / "other" / "r.sqlite") as other:
        other.append("J-9", Kind.NOTE, {"text": "another bench"})
    for file in path.parent.glob("r.sqlite*"):
        if "newest" not in file.name:
            file.unlink()
    shutil.copyfile(tmp_path / "other" / "r.sqlite", path)
    with Store(path) as store:
        assert "entries of another record lay beside it" in store.said[0]
        assert store.jobs() == ["J-9"]
    with Store(path) as store:
        assert store.said == ()


def test_an_entry_that_has_no_line_gets_one_before_the_next_hangs_on_it(
    path: Path, left: tuple[Path, list[int]]
) -> None:
    lines = NewestLines(path)
    whole = lines.path.read_text(encoding="utf-8").split("\n")
    lines.path.write_text("\n".join(whole[:-1]), encoding="utf-8")
    with Store(path) as store:
        assert store.said == ()
        assert [line.entry.body["turns"] for line in lines.newest()] == list(range(ENTRIES))


def test_the_second_copy_stays_small(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.records.newest._MOST_BYTES", 20_000)
    lines = NewestLines(path)
    with Store(path) as store:
        for number in range(60):
            store.append("J-0", Kind.NOTE, {"text": "x" * 1000, "number": number})
        newest = [line.entry.body.get("number") for line in lines.newest()]
        assert newest[-12:] == list(range(48, 60))
    assert lines.path.stat().st_size < 23_000
    assert lines.older.stat().st_size < 23_000


def test_a_line_that_was_cut_spoils_no_other(path: Path) -> None:
    lines = NewestLines(path)
    with lines.path.open("ab") as file:
        file.write(b'\n["half a li')
    with Store(path) as store:
        entry = store.append("J-0", Kind.NOTE, {"text": "next"})
        last = lines.last()
        assert last is not None
        assert last.entry == entry
    assert json.loads(lines.path.read_text(encoding="utf-8").split("\n")[-1])[-1] == entry.hash
