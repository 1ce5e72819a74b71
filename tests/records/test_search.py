"""Jobs found among many: in a bench's own file, in one that may only be read, and on a workshop's server."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest

from bench.job.records_address import server_address
from bench.records.entry import Kind
from bench.records.problem import RecordProblem
from bench.records.read_only import ReadOnlyRecords
from bench.records.reader import Records
from bench.records.search import asked as asking
from bench.records.search import index, words
from bench.records.search.asked import UNTESTED, Asked, find_jobs, instrument_uses
from bench.records.search.fold import instrument_key
from bench.records.server.server import Server
from bench.records.store import Store
from tests.records.many import entries_of_many, fill
from tests.records.postgres import Cluster

MANY = 300


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("many") / "records.sqlite"
    fill(path, MANY)
    return path


@pytest.fixture(scope="module")
def many_on_server(running_cluster: Cluster) -> str:
    """The same on a server, which takes seconds: its URL."""
    url = running_cluster.make("many_units")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PGPASSWORD", running_cluster.password)
        with Server(server_address(url), "bench 1") as server:
            for _, entries in groupby(entries_of_many(MANY), lambda one: one.job):
                server.take(list(entries))
    return url


@pytest.fixture(params=["own file", "read only", "server"])
def records(request: pytest.FixtureRequest, many: Path) -> Iterator[Records]:
    """Many units, to be looked for and not added to."""
    match request.param:
        case "own file":
            with Store(many) as store:
                yield store
        case "read only":
            with ReadOnlyRecords(many) as only:
                yield only
        case _:
            request.getfixturevalue("records_server")
            with Server(server_address(request.getfixturevalue("many_on_server")), "bench 1") as server:
                yield server


def _by_hand(wanted: Callable[[dict[str, list[Any]]], bool]) -> list[str]:
    """The same by looking at every entry: jobs, newest first."""
    found = []
    for job, entries in groupby(entries_of_many(MANY), lambda one: one.job):
        by_kind: dict[str, list[Any]] = {}
        for one in entries:
            by_kind.setdefault(one.kind, []).append(one)
        if wanted(by_kind):
            found.append(job)
    return found[::-1]


def _body(kinds: dict[str, list[Any]], kind: str) -> Any:
    return kinds[kind][0].body


def _named(kinds: dict[str, list[Any]], fault: str) -> bool:
    return any(one["fault"] == fault for one in _body(kinds, "result")["findings"])


@pytest.mark.parametrize(
    ("asked", "wanted"),
    [
        (Asked(), lambda kinds: True),
        (Asked(job="u-00012"), lambda kinds: kinds["result"][0].job.startswith("U-00012")),
        (Asked(equipment="Gate OKAFOR"), lambda kinds: "gate opener" in _body(kinds, "job file")["text"]
            and "Okafor" in _body(kinds, "job file")["text"]),
        (Asked(equipment="100% of_nothing"), lambda kinds: False),
        (Asked(since="2016-01-06", until="2016-01-09"),
            lambda kinds: "2016-01-06" <= kinds["result"][0].at < "2016-01-09"),
        (Asked(verdict="rejected"), lambda kinds: _body(kinds, "result")["verdict"] == "rejected"),
        (Asked(verdict=UNTESTED), lambda kinds: False),
        (Asked(fault="core_gap"), lambda kinds: _named(kinds, "core_gap")),
        (Asked(fault="core_gap", until="2016-01-10"),
            lambda kinds: _named(kinds, "core_gap") and kinds["result"][0].at < "2016-01-10"),
        (Asked(instrument="D-002"), lambda kinds: _body(kinds, "instrument")["serial"] == "D-002"),
        (Asked(instrument="nothing"), lambda kinds: False),
        (Asked(equipment="tape", verdict="undecided", instrument="desk 1"),
            lambda kinds: "tape machine" in _body(kinds, "job file")["text"]
            and _body(kinds, "result")["verdict"] == "undecided" and _body(kinds, "instrument")["name"] == "desk 1"),
    ],
)  # fmt: skip
def test_what_is_found_is_what_looking_at_every_entry_finds(
    records: Records, asked: Asked, wanted: Callable[[Any], bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    due = _by_hand(wanted)
    found = find_jobs(records, asked, MANY)
    assert [one.job for one in found.jobs] == due
    monkeypatch.setattr(asking, "_FEW", 3)  # the other ways to the same jobs
    monkeypatch.setattr(words, "FEW", 3)
    assert [one.job for one in find_jobs(records, asked, MANY).jobs] == due
    page = find_jobs(records, asked, 5)
    assert ([one.job for one in page.jobs], page.more) == (due[:5], len(due) > 5)


def test_a_job_is_told_with_its_equipment_its_verdict_and_its_dates(records: Records) -> None:
    one = find_jobs(records, Asked(job="U-000007"), 5).jobs[0]
    kinds = {one.kind: one for one in entries_of_many(8) if one.job == "U-000007"}
    assert one.tested_at == one.last_at == kinds["result"].at
    assert one.first_at == kinds["job file"].at
    assert (one.entries, one.tests, one.verdict) == (6, 1, kinds["result"].body["verdict"])
    assert one.equipment.endswith(" M7")
    assert f'equipment = "{one.equipment.removesuffix(" M7")}"' in kinds["job file"].body["text"]


def test_uses_of_an_instrument_come_oldest_first(records: Records) -> None:
    uses = instrument_uses(records, "D-001")
    assert {one.key for one in uses} == {"D-001"}
    assert [one.at for one in uses] == sorted(one.at for one in uses)
    assert len(uses) == len(_by_hand(lambda kinds: _body(kinds, "instrument")["serial"] == "D-001"))


# -- kept up to date -------------------------------------------------------------------------------------------------


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """One whose own tables are searched, or nothing is."""
    monkeypatch.delattr(asking, "in_memory")
    with Store(tmp_path / "records.sqlite") as store:
        yield store


def _tested(store: Store, job: str, verdict: str, fault: str = "") -> None:
    store.append(job, Kind.TEST_BEGUN, {"procedure": "before varnish"})
    findings = [{"fault": fault, "winding": "ht", "probability": 0.9}] if fault else []
    store.append(job, Kind.RESULT, {"verdict": verdict, "steps": [], "findings": findings, "not_done": []})


def test_what_is_kept_after_a_search_is_found_by_the_next(store: Store) -> None:
    _tested(store, "A", "rejected", "core_gap")
    assert [one.verdict for one in find_jobs(store, Asked(), 9).jobs] == ["rejected"]
    store.append("A", Kind.JOB_FILE, {"file": "a.toml", "text": '[identity]\nequipment = "Ümlaut radio"\n'})
    _tested(store, "A", "accepted")
    _tested(store, "B", "undecided", "turns_wrong+core_gap")
    jobs = {one.job: one for one in find_jobs(store, Asked(), 9).jobs}
    assert (jobs["A"].verdict, jobs["A"].tests, jobs["A"].equipment) == ("accepted", 2, "Ümlaut radio")
    assert [one.job for one in find_jobs(store, Asked(equipment="ÜMLAUT"), 9).jobs] == ["A"]
    assert [one.job for one in find_jobs(store, Asked(verdict="rejected"), 9).jobs] == []
    assert [one.job for one in find_jobs(store, Asked(fault="core_gap"), 9).jobs] == ["B", "A"]


def test_words_of_a_job_that_changed_are_found_and_no_others(store: Store) -> None:
    for said in ("mantel radio", "bench supply"):
        store.append("A", Kind.JOB_FILE, {"file": "a.toml", "text": f'[identity]\nequipment = "{said}"\n'})
        assert [one.job for one in find_jobs(store, Asked(equipment=said), 9).jobs] == ["A"]
    assert find_jobs(store, Asked(equipment="mantel"), 9).jobs == ()


def test_a_database_without_an_index_of_words_finds_the_same(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(words, "make_words", lambda connection: None)
    monkeypatch.setattr(index, "make_words", lambda connection: None)
    store.append("A", Kind.JOB_FILE, {"file": "a.toml", "text": '[identity]\nequipment = "mantel radio"\n'})
    assert [one.job for one in find_jobs(store, Asked(equipment="ant"), 9).jobs] == ["A"]
    assert not words.has_words(store._connection)
    monkeypatch.undo()
    assert [one.job for one in find_jobs(store, Asked(equipment="ant"), 9).jobs] == ["A"]
    assert words.has_words(store._connection)


def test_a_test_that_is_judged_once_more_takes_its_faults_back(store: Store) -> None:
    _tested(store, "A", "rejected", "core_gap")
    store.append("A", Kind.TEST_GO, {"again": ["exciting"]})
    store.append("A", Kind.RESULT, {"verdict": "accepted", "steps": [], "findings": [], "not_done": []})
    assert find_jobs(store, Asked(fault="core_gap"), 9).jobs == ()


def test_nothing_is_written_where_nothing_is_new(store: Store) -> None:
    _tested(store, "A", "accepted")
    find_jobs(store, Asked(), 9)
    before = store._connection.exec_driver_sql("SELECT total_changes()").scalar_one()
    find_jobs(store, Asked(), 9)
    assert store._connection.exec_driver_sql("SELECT total_changes()").scalar_one() == before


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE find_state SET version = 0",
        "UPDATE find_state SET hash = 'another'",
        "UPDATE find_state SET upto = 10000",
        "DELETE FROM find_state",
    ],
)
def test_an_index_that_does_not_fit_the_entries_is_made_anew(store: Store, statement: str) -> None:
    _tested(store, "A", "rejected")
    find_jobs(store, Asked(), 9)
    store._connection.exec_driver_sql("UPDATE find_job SET verdict = 'invented'")
    store._connection.exec_driver_sql(statement)
    if "DELETE" in statement:
        store._connection.exec_driver_sql("DELETE FROM find_job")
    assert [one.verdict for one in find_jobs(store, Asked(), 9).jobs] == ["rejected"]


def test_two_programs_that_bring_it_up_at_once_end_with_the_same(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _tested(store, "A", "rejected")
    with Store(tmp_path / "records.sqlite") as other:
        usual, between = index._touched, [True]

        def touched(records: Records, numbers: list[str]) -> Any:
            found = list(usual(records, numbers))
            if between and between.pop():  # the other one is faster, with an entry more
                _tested(other, "A", "accepted")
                find_jobs(other, Asked(), 9)
            return found

        written: list[str] = []
        replace = index._replace

        def replaced(connection: Any, rows: list[Any]) -> None:
            written.extend(str(one.job["verdict"]) for one in rows)
            replace(connection, rows)

        monkeypatch.setattr(index, "_touched", touched)
        monkeypatch.setattr(index, "_replace", replaced)
        assert [one.verdict for one in find_jobs(store, Asked(), 9).jobs] == ["accepted"]
    assert written == ["accepted"]  # what was read before the other wrote is not written over it


def test_nobody_who_counts_waits_long_for_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each transaction takes in some entries only, and what it read before it began it reads outside of it."""
    fill(tmp_path / "records.sqlite", 60)
    monkeypatch.setattr(index, "_RUN", 50)
    held: list[int] = []
    usual = index._replace
    monkeypatch.setattr(index, "_replace", lambda connection, rows: (held.append(len(rows)), usual(connection, rows)))
    with Store(tmp_path / "records.sqlite") as store:
        assert len(find_jobs(store, Asked(), 100).jobs) == 60
    assert len(held) >= 7
    assert max(held) <= 10


def test_entries_and_their_hashes_stay_as_they_were(many: Path) -> None:
    with Store(many) as store:
        find_jobs(store, Asked(fault="core_gap"), 9)
        assert store.verify("U-000007") == []


# -- records that can't be written, and older ones -------------------------------------------------------------------


def test_a_read_only_record_of_an_older_version_is_searched_without_an_index(many: Path, tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    path.write_bytes(many.read_bytes())
    with closing(sqlite3.connect(path)) as connection:
        for table in ("state", "job", "test", "fault", "instrument", "use", "words"):
            connection.execute(f"DROP TABLE IF EXISTS find_{table}")
        connection.execute("PRAGMA user_version = 2")
        connection.execute("PRAGMA journal_mode = DELETE")
    path.chmod(0o444)
    before = path.read_bytes()
    with ReadOnlyRecords(path) as records:
        found = find_jobs(records, Asked(verdict="rejected"), MANY)
    assert [one.job for one in found.jobs] == _by_hand(lambda kinds: _body(kinds, "result")["verdict"] == "rejected")
    assert path.read_bytes() == before


def test_a_slow_search_says_why(many: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(records: Records) -> None:
        raise RecordProblem("read only")

    monkeypatch.setattr(asking, "bring_up", refuse)
    monkeypatch.setattr(asking, "_SLOW_S", 0.0)
    with ReadOnlyRecords(many) as records:
        assert "searched without an index in" in find_jobs(records, Asked(), 5).note


def test_a_record_of_the_second_version_is_raised_with_its_tables(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    fill(path, 5)
    with closing(sqlite3.connect(path)) as connection:
        for table in ("state", "job", "test", "fault", "instrument", "use", "words"):
            connection.execute(f"DROP TABLE IF EXISTS find_{table}")
        connection.execute("PRAGMA user_version = 2")
    with Store(path) as store:
        assert len(find_jobs(store, Asked(), 9).jobs) == 5
        assert store.verify("U-000003") == []
    assert (tmp_path / "records.version-2.sqlite").is_file()


def test_no_file_is_no_record(tmp_path: Path) -> None:
    with pytest.raises(RecordProblem, match="no record yet"):
        ReadOnlyRecords(tmp_path / "nothing.sqlite")


# -- which instrument ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "key"),
    [
        ({"serial": "S 1", "identity": "x", "use": "scpi@COM5", "name": "desk"}, "S 1"),
        ({"serial": "", "serial_read": "417", "use": "scpi@COM5", "name": "desk"}, "417"),
        ({"identity": "Works,M4,0,1", "use": "scpi@COM5", "name": "scpi@COM5"}, "Works,M4,0,1"),
        ({"identity": "", "use": "hall@COM5", "name": "spindle"}, "spindle"),
        ({"identity": "", "use": "hall@COM5", "name": "hall@COM5"}, "hall"),
        ({"identity": "yellow: read and typed by a person", "use": "hand", "name": "yellow"}, "yellow"),
    ],
)
def test_a_port_never_says_which_instrument_it_is(body: dict[str, str], key: str) -> None:
    assert instrument_key(body) == key


def test_a_page_of_some_thousand_jobs_is_found_in_no_time(tmp_path: Path) -> None:
    """A small guard of what tests/benchmarks measures; processor time, since this machine may be busy."""
    fill(tmp_path / "records.sqlite", 4000)
    with Store(tmp_path / "records.sqlite") as store:
        find_jobs(store, Asked(), 1)
        for asked in (Asked(equipment="nowhere"), Asked(fault="core_gap"), Asked(instrument="D-002"), Asked(job="399")):
            took = []
            for _ in range(5):
                began = time.process_time()
                find_jobs(store, asked, 50)
                took.append(time.process_time() - began)
            assert sorted(took)[2] < 0.05, asked
