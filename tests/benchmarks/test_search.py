"""How long a search among 100 000 jobs takes by each kind of filter: a page of fifty, what is new included.

Of a bench's own file the processor's time, of a records server on this machine what passes until the page is there.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg
import pytest

from bench.job.records_address import server_address
from bench.records.entry import canonical
from bench.records.search.asked import Asked, find_jobs
from bench.records.server.server import Server
from bench.records.store import Store
from tests.records.many import entries_of_many, fill
from tests.records.postgres import cluster

pytestmark = pytest.mark.benchmark

MANY = 100_000
ASKED = {
    "the newest": Asked(),
    "a part of the number": Asked(job="99999"),
    "words of the equipment, many fit": Asked(equipment="tape lindqvist"),
    "words of the equipment, none fits": Asked(equipment="nowhere"),
    "a month": Asked(since="2020-03-01", until="2020-04-01"),
    "a verdict": Asked(verdict="rejected"),
    "a fault": Asked(fault="core_gap"),
    "a fault in a month": Asked(fault="core_gap", since="2019-01-01", until="2019-02-01"),
    "an instrument": Asked(instrument="D-002"),
    "all together": Asked(equipment="gate", verdict="undecided", fault="core_gap", instrument="desk 3"),
}


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    path = tmp_path_factory.mktemp("many") / "records.sqlite"
    fill(path, MANY)
    with Store(path) as store:
        find_jobs(store, Asked(), 1)
        yield store


def _group(name: str) -> Any:
    return pytest.mark.benchmark(
        group=f"processor time of a search among 100 000 jobs: {name}", timer=time.process_time
    )


@pytest.mark.parametrize("name", [pytest.param(one, marks=_group(one)) for one in ASKED])
def test_search(benchmark: Any, record: Store, name: str) -> None:
    benchmark.extra_info.update(role="ours", what="")
    benchmark.pedantic(find_jobs, args=(record, ASKED[name], 50), rounds=21, warmup_rounds=2)


@pytest.mark.parametrize("name", [pytest.param(one, marks=_group(one)) for one in ASKED])
def test_looking_at_each_row(benchmark: Any, record: Store, name: str) -> None:
    benchmark.extra_info.update(role="reference", what="LIKE over all rows by sqlite3")
    path: Path = record.path
    with closing(sqlite3.connect(path)) as connection:

        def look() -> None:
            connection.execute("SELECT count(*) FROM find_job WHERE words LIKE '%nowhere%'").fetchone()

        benchmark.pedantic(look, rounds=21, warmup_rounds=2)


# -- a workshop's server -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def shared() -> Iterator[tuple[Server, psycopg.Connection[Any]]]:
    """The records of a server, and a plain line to it."""
    with cluster() as running, pytest.MonkeyPatch.context() as patch:
        patch.setenv("PGPASSWORD", running.password)
        url = running.make("many")
        with Server(server_address(url), "bench 1"):
            pass
        _fill(url)
        with Server(server_address(url), "bench 1") as server, psycopg.connect(url, autocommit=True) as line:
            find_jobs(server, Asked(), 1)
            line.execute("ANALYZE")
            yield server, line


def _fill(url: str) -> None:
    columns = "hash, job, course, seq, kind, at, monotonic, body, previous, bench"
    with psycopg.connect(url) as line, line.cursor().copy(f"COPY kept ({columns}) FROM STDIN") as rows:
        for one in entries_of_many(MANY):
            body = canonical(one.body)
            rows.write_row(
                (one.hash, one.job, 0, one.seq, one.kind, one.at, one.monotonic, body, one.previous, "bench 1")
            )


def _group_on_a_server(name: str) -> Any:
    return pytest.mark.benchmark(group=f"a search among 100 000 jobs on a records server: {name}")


@pytest.mark.parametrize("name", [pytest.param(one, marks=_group_on_a_server(one)) for one in ASKED])
def test_search_on_a_server(benchmark: Any, shared: tuple[Server, psycopg.Connection[Any]], name: str) -> None:
    benchmark.extra_info.update(role="ours", what="")
    benchmark.pedantic(find_jobs, args=(shared[0], ASKED[name], 50), rounds=21, warmup_rounds=2)


@pytest.mark.parametrize("name", [pytest.param(one, marks=_group_on_a_server(one)) for one in ASKED])
def test_looking_at_each_row_on_a_server(
    benchmark: Any, shared: tuple[Server, psycopg.Connection[Any]], name: str
) -> None:
    benchmark.extra_info.update(role="reference", what="LIKE over all rows by psycopg")
    line = shared[1]

    def look() -> None:
        line.execute("SELECT count(*) FROM find_job WHERE words LIKE '%nowhere%'").fetchone()

    benchmark.pedantic(look, rounds=21, warmup_rounds=2)
