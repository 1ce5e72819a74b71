"""The store: SQLite, append-only, one hash chain for each job."""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from sqlalchemy import (
    URL,
    Connection,
    Select,
    and_,
    bindparam,
    create_engine,
    event,
    func,
    insert,
    select,
    union_all,
)
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from bench.records.entry import GENESIS, Entry, Kind, canonical, entry_hash
from bench.records.problem import RecordProblem
from bench.records.schema import entries as _entries
from bench.records.schema import prepare

__all__ = ["Store"]

# Made once: a count is appended a hundred times a second.
_INSERT = insert(_entries)
_LAST = (
    select(_entries.c.seq, _entries.c.hash)
    .where(_entries.c.job == bindparam("of_job"))
    .order_by(_entries.c.seq.desc())
    .limit(1)
)
_RUNNING = (str(Kind.COUNT), str(Kind.STRIP_COUNT))
"""Kinds of which thousands follow each other."""


class Store:
    """Appends entries and reads them back; every append is on the disk when it returns."""

    def __init__(
        self,
        path: Path,
        *,
        clock: Callable[[], float] = time.monotonic,
        utcnow: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        self.path = path
        self._clock = clock
        self._utcnow = utcnow
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._engine = create_engine(
                URL.create("sqlite", database=str(path)), connect_args={"check_same_thread": False}
            )
            event.listen(self._engine, "connect", _settings)
            self._connection: Connection = self._engine.connect()
            try:
                prepare(self._connection, path)
            except BaseException:
                self.close()  # or its lock would stand as long as anybody holds the trace
                raise
        except (SQLAlchemyError, OSError) as error:
            raise RecordProblem(f"{path}: the record can't be opened: {_reason(error)}") from error

    def append(self, job: str, kind: Kind, body: dict[str, Any]) -> Entry:
        """Add one entry to a job's chain, under the database's write lock; raises RecordProblem."""
        try:
            with self._writing() as connection:
                last = connection.execute(_LAST, {"of_job": job}).first()
                seq, previous = (last.seq + 1, last.hash) if last else (1, GENESIS)
                at, monotonic, content = self._utcnow().isoformat(), self._clock(), canonical(body)
                digest = entry_hash(job, seq, kind, at, monotonic, content, previous)
                connection.execute(
                    _INSERT,
                    {
                        "job": job,
                        "seq": seq,
                        "kind": str(kind),
                        "at": at,
                        "monotonic": monotonic,
                        "body": content,
                        "previous": previous,
                        "hash": digest,
                    },
                )
        except SQLAlchemyError as error:
            raise RecordProblem(f"{self.path}: not stored: {_reason(error)}") from error
        return Entry(job, seq, str(kind), at, monotonic, body, previous, digest)

    def entries(self, job: str, kind: Kind | None = None) -> list[Entry]:
        """Entries of a job in order, of one kind or all."""
        query = select(_entries).where(_entries.c.job == job).order_by(_entries.c.seq)
        if kind is not None:
            query = query.where(_entries.c.kind == str(kind))
        return [_entry(row) for row in self._read(query)]

    def entries_of(self, job: str, kinds: Sequence[Kind]) -> list[Entry]:
        """Entries of a job in order, of these kinds, each of them."""
        wanted = _entries.c.kind.in_([str(kind) for kind in kinds])
        query = select(_entries).where(_entries.c.job == job, wanted).order_by(_entries.c.seq)
        return [_entry(row) for row in self._read(query)]

    def landmarks(self, job: str) -> list[Entry]:
        """Entries of a job in order; of counts that follow each other only the first and the last.

        Whoever begins to count says so in an entry, so that such a run is of one winding, on or off.
        """
        return [_entry(row) for row in self._read(_landmarks(job).order_by(_entries.c.seq))]

    def landmarks_before(self, job: str, before: int | None, count: int) -> list[Entry]:
        """The newest of them, newest first: at most `count` of those with a seq below `before`."""
        query = _landmarks(job).order_by(_entries.c.seq.desc()).limit(count)
        if before is not None:
            query = query.where(_entries.c.seq < before)
        return [_entry(row) for row in self._read(query)]

    def last(self, job: str, kind: Kind) -> Entry | None:
        """The newest entry of one kind."""
        query = (
            select(_entries)
            .where(_entries.c.job == job, _entries.c.kind == str(kind))
            .order_by(_entries.c.seq.desc())
            .limit(1)
        )
        rows = self._read(query)
        return _entry(rows[0]) if rows else None

    def newest(self, kind: Kind | None = None) -> dict[str, Entry]:
        """The newest entry of each job, of one kind or any; a job without one lacks."""
        last = select(_entries.c.job, func.max(_entries.c.seq).label("seq")).group_by(_entries.c.job)
        if kind is not None:
            last = last.where(_entries.c.kind == str(kind))
        found = last.subquery()
        query = select(_entries).join(found, (_entries.c.job == found.c.job) & (_entries.c.seq == found.c.seq))
        return {row.job: _entry(row) for row in self._read(query)}

    def count(self, job: str) -> int:
        """How many entries a job has."""
        rows = self._read(select(func.count()).select_from(_entries).where(_entries.c.job == job))
        return int(rows[0][0])

    def jobs(self) -> list[str]:
        """Numbers of all jobs that have a record."""
        return [row.job for row in self._read(select(_entries.c.job).distinct().order_by(_entries.c.job))]

    def head(self, job: str) -> str:
        """Hash of the newest entry of a job, GENESIS where there is none."""
        rows = self._read(select(_entries.c.hash).where(_entries.c.job == job).order_by(_entries.c.seq.desc()).limit(1))
        return str(rows[0].hash) if rows else GENESIS

    def holds(self, job: str, digest: str) -> bool:
        """Whether an entry of a job has that hash."""
        query = select(_entries.c.seq).where(_entries.c.job == job, _entries.c.hash == digest).limit(1)
        return bool(self._read(query))

    def verify(self, job: str) -> list[str]:
        """What is wrong with a job's chain, a line each: altered, missing or reordered entries."""
        problems, previous, due = [], GENESIS, 1
        for row in self._read(select(_entries).where(_entries.c.job == job).order_by(_entries.c.seq)):
            if row.seq != due:
                problems.append(f"{job}: entry {due} is missing")
            if row.previous != previous:
                problems.append(f"{job}: entry {row.seq} does not follow the entry before it")
            digest = entry_hash(row.job, row.seq, row.kind, row.at, row.monotonic, row.body, row.previous)
            if digest != row.hash:
                problems.append(f"{job}: entry {row.seq} ({row.kind}) was altered")
            previous, due = row.hash, row.seq + 1
        return problems

    def close(self) -> None:
        self._connection.close()
        self._engine.dispose()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _writing(self) -> _Writing:
        return _Writing(self._connection)

    def _read(self, query: Any) -> list[Any]:
        try:
            rows = list(self._connection.execute(query))
            self._connection.rollback()
        except SQLAlchemyError as error:
            raise RecordProblem(f"{self.path}: the record can't be read: {_reason(error)}") from error
        return rows


def _landmarks(job: str) -> Select[Any]:
    """What stands between counts, and of counts those that something else stands beside."""
    first, second = sorted(_RUNNING)
    kind, seq = _entries.c.kind, _entries.c.seq
    of_job = select(seq).where(_entries.c.job == job)
    # Each a range, which the index of kinds finds at once among a million counts.
    ranges = (kind < first, and_(kind > first, kind < second), kind > second)
    others = union_all(*(of_job.where(one) for one in ranges)).cte("others")
    ends = (of_job.order_by(order).limit(1).subquery() for order in (seq.asc(), seq.desc()))
    places = union_all(*(select(others.c.seq + step) for step in (-1, 0, 1)), *(select(end.c.seq) for end in ends))
    return select(_entries).where(_entries.c.job == job, _entries.c.seq.in_(places))


class _Writing:
    """A transaction that holds the write lock from its start, so that two programs can't chain to the same entry."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def __enter__(self) -> Connection:
        self._connection.exec_driver_sql("BEGIN IMMEDIATE")
        return self._connection

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is not None:
            self._connection.rollback()
            return
        try:
            self._connection.commit()
        except SQLAlchemyError:
            # a full disk is told at the commit; what is read next needs a connection that is not in the middle of it
            with contextlib.suppress(SQLAlchemyError):
                self._connection.rollback()
            raise


def _settings(connection: Any, _: Any) -> None:
    connection.isolation_level = None  # we say BEGIN ourselves
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "busy_timeout=5000", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")


def _entry(row: Any) -> Entry:
    return Entry(row.job, row.seq, row.kind, row.at, row.monotonic, json.loads(row.body), row.previous, row.hash)


def _reason(error: Exception) -> str:
    cause = error.orig if isinstance(error, DBAPIError) and error.orig is not None else error
    return str(cause).splitlines()[0]
