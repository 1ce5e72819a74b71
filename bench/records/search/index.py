"""Brings the derived tables up to the entries: a run of new ones at a time, so that nobody who counts waits for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, create_engine, delete, func, insert, inspect, select, text, update
from sqlalchemy.exc import SQLAlchemyError

from bench.records.entry import GENESIS, Entry, Kind
from bench.records.problem import RecordProblem
from bench.records.reader import Records, entry_of, reason_of
from bench.records.schema import entries as _entries
from bench.records.search.fold import FOLDED, JobEnds, JobRows, fold
from bench.records.search.tables import (
    INDEX_VERSION,
    OF_A_JOB,
    faults,
    instruments,
    jobs,
    metadata,
    state,
    statements,
    tests,
    uses,
)
from bench.records.search.words import forget_words, has_words, keep_words, make_words

__all__ = ["bring_up", "in_memory"]

_RUN = 5000
"""Entries of which one transaction takes in the jobs: some tens of milliseconds, in which nobody else can append."""
_AT_ONCE = 400
_KINDS = [str(one) for one in FOLDED]
_BESIDE = [str(one) for one in (Kind.JOB_FILE, Kind.INSTRUMENT, Kind.PROFILES, Kind.WIRE_LOG)]
"""What is kept beside what was done."""


def bring_up(records: Records) -> None:
    """The tables in the same database.  Raises RecordProblem where it may not be written."""
    connection = records._connection
    try:
        _make(connection)
        _bring_up(records, connection)
    except SQLAlchemyError as error:
        connection.rollback()
        raise RecordProblem(f"{records.where}: the search index can't be written: {reason_of(error)}") from error


def in_memory(records: Records) -> Connection:
    """The tables of a record that may not be written, made for this search alone; raises RecordProblem."""
    connection = create_engine("sqlite://").connect()
    connection.connection.driver_connection.isolation_level = None  # type: ignore[union-attr]
    _create(connection)
    make_words(connection)
    connection.commit()
    _bring_up(records, connection)
    return connection


def _make(connection: Connection) -> None:
    """On a records server; a bench's own file has them by its version."""
    there = inspect(connection).has_table(state.name)
    connection.rollback()
    if not there:
        with _alone(connection):
            _create(connection)
    if connection.dialect.name == "sqlite":
        lacks = not has_words(connection)
        connection.rollback()
        if lacks:
            with _alone(connection):
                make_words(connection)


def _create(connection: Connection) -> None:
    for statement in statements(connection.dialect):
        connection.execute(text(statement))


def _bring_up(records: Records, connection: Connection) -> None:
    while True:
        upto, digest = _stands(records, connection)
        new = _new(records, upto)
        if not new:
            return
        rows = [fold(ends, entries) for ends, entries in _touched(records, sorted({job for _, job, _ in new}))]
        last, _, last_hash = new[-1]
        with _alone(connection):
            here = connection.execute(select(state)).first()
            if (here.upto, here.hash) != (upto, digest) if here is not None else upto != 0:
                continue  # another program was first: look again where it stands
            _replace(connection, rows)
            values = {"version": INDEX_VERSION, "upto": last, "hash": last_hash}
            connection.execute(
                update(state).values(values) if here is not None else insert(state).values(one=1, **values)
            )


def _stands(records: Records, connection: Connection) -> tuple[int, str]:
    """Up to which entry; what belongs to another version, or to other entries, is cleared first."""
    row = connection.execute(select(state)).first()
    connection.rollback()
    if row is not None and row.version == INDEX_VERSION:
        there = records._read(select(_entries.c.hash).where(_entries.c.id == row.upto))
        if there and there[0].hash == row.hash:
            return row.upto, row.hash
    with _alone(connection):
        if has_words(connection):
            connection.execute(text("DROP TABLE find_words"))
        if row is None or row.version == INDEX_VERSION:
            for table in (*OF_A_JOB, instruments, state):
                connection.execute(delete(table))
        else:
            metadata.drop_all(connection)
            _create(connection)
        make_words(connection)
    return 0, GENESIS


def _new(records: Records, upto: int) -> list[tuple[int, str, str]]:
    """id, job and hash of the entries that follow, at most a run of them."""
    query = select(_entries.c.id, _entries.c.job, _entries.c.hash).where(_entries.c.id > upto)
    return [(row.id, row.job, row.hash) for row in records._read(query.order_by(_entries.c.id).limit(_RUN))]


def _touched(records: Records, numbers: list[str]) -> Iterator[tuple[JobEnds, list[Entry]]]:
    """Each of these jobs as it is now."""
    for start in range(0, len(numbers), _AT_ONCE):
        some = numbers[start : start + _AT_ONCE]
        ends = {one.job: one for one in _ends(records, some)}
        query = (
            select(_entries)
            .where(_entries.c.job.in_(some), _entries.c.kind.in_(_KINDS))
            .order_by(_entries.c.job, _entries.c.seq)
        )
        by_job = {job: [*map(entry_of, rows)] for job, rows in groupby(records._read(query), lambda row: str(row.job))}
        yield from ((ends[job], by_job.get(job, [])) for job in some)


def _ends(records: Records, numbers: Iterable[str]) -> Iterator[JobEnds]:
    extent = (
        select(_entries.c.job, func.min(_entries.c.seq).label("low"), func.max(_entries.c.seq).label("high"))
        .where(_entries.c.job.in_(list(numbers)))
        .group_by(_entries.c.job)
        .subquery()
    )
    first, last = _entries.alias(), _entries.alias()
    query = (
        select(extent.c.job, extent.c.high, first.c.at.label("first_at"), last.c.at.label("last_at"), last.c.kind)
        .join(first, (first.c.job == extent.c.job) & (first.c.seq == extent.c.low))
        .join(last, (last.c.job == extent.c.job) & (last.c.seq == extent.c.high))
    )
    for row in records._read(query):
        kind = _done_last(records, row.job) if row.kind in _BESIDE else row.kind
        yield JobEnds(row.job, row.first_at, row.last_at, kind, row.high)


def _done_last(records: Records, job: str) -> str:
    """Kind of the newest entry that tells of something done."""
    done = select(_entries.c.kind).where(_entries.c.job == job, _entries.c.kind.not_in(_BESIDE))
    rows = records._read(done.order_by(_entries.c.seq.desc()).limit(1))
    return str(rows[0].kind) if rows else str(Kind.JOB_FILE)


def _replace(connection: Connection, rows: list[JobRows]) -> None:
    numbers = [one.job["job"] for one in rows]
    words = has_words(connection)
    for start in range(0, len(numbers), _AT_ONCE):
        some = numbers[start : start + _AT_ONCE]
        there = [row.job for row in connection.execute(select(jobs.c.job).where(jobs.c.job.in_(some)))]
        if words:
            forget_words(connection, there)
        for table in OF_A_JOB if there else ():
            connection.execute(delete(table).where(table.c.job.in_(there)))
    named = {one for each in rows for one in each.instruments}
    known = {tuple(row) for row in connection.execute(select(instruments.c.key, instruments.c.words))}
    values: tuple[tuple[Any, list[dict[str, Any]]], ...] = (
        (jobs, [one.job for one in rows]),
        (tests, [each for one in rows for each in one.tests]),
        (faults, [each for one in rows for each in one.faults]),
        (uses, [each for one in rows for each in one.uses]),
        (instruments, [{"key": key, "words": words} for key, words in named - known]),
    )
    for table, many in values:
        if many:
            connection.execute(insert(table), many)
    if words:
        keep_words(connection, numbers)


@contextmanager
def _alone(connection: Connection) -> Iterator[None]:
    """A transaction in which nobody else writes."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    else:
        from bench.records.server.tables import take_turn

        take_turn(connection)
    try:
        yield
    except BaseException:
        connection.rollback()
        raise
    connection.commit()
