"""What a record says: read alike from the SQLite file of a bench and from the server of a workshop."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Select, and_, func, select, union_all
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from bench.records.damage import reads_on_in_spite_of, unreadable
from bench.records.entry import GENESIS, Entry, Kind, entry_hash
from bench.records.problem import RecordProblem
from bench.records.reasons import reason_words
from bench.records.schema import entries as _entries

__all__ = ["Records", "entry_of", "reason_of"]

_RUNNING = (str(Kind.COUNT), str(Kind.STRIP_COUNT))
"""Kinds of which thousands follow each other."""


class Records:
    """Reads entries; each method raises RecordProblem.

    connection: to a database with the table of `schema.entries`, or a view of that shape;  where: whose it is, for a
    person who reads what went wrong.
    """

    _connection: Connection
    where: str

    def entries(self, job: str, kind: Kind | None = None) -> list[Entry]:
        """Entries of a job in order, of one kind or all."""
        query = select(_entries).where(_entries.c.job == job).order_by(_entries.c.seq)
        if kind is not None:
            query = query.where(_entries.c.kind == str(kind))
        return [entry_of(row) for row in self._read(query)]

    def entries_of(self, job: str, kinds: Sequence[Kind]) -> list[Entry]:
        """Entries of a job in order, of these kinds, each of them."""
        wanted = _entries.c.kind.in_([str(kind) for kind in kinds])
        query = select(_entries).where(_entries.c.job == job, wanted).order_by(_entries.c.seq)
        return [entry_of(row) for row in self._read(query)]

    def after(self, job: str, seq: int, count: int) -> list[Entry]:
        """At most `count` entries of a job in order, those above `seq`."""
        query = select(_entries).where(_entries.c.job == job, _entries.c.seq > seq).order_by(_entries.c.seq)
        return [entry_of(row) for row in self._read(query.limit(count))]

    def landmarks(self, job: str) -> list[Entry]:
        """Entries of a job in order; of counts that follow each other only the first and the last.

        Whoever begins to count says so in an entry, so that such a run is of one winding, on or off.
        """
        return [entry_of(row) for row in self._read(_landmarks(job).order_by(_entries.c.seq))]

    def landmarks_before(self, job: str, before: int | None, count: int) -> list[Entry]:
        """The newest of them, newest first: at most `count` of those with a seq below `before`."""
        query = _landmarks(job).order_by(_entries.c.seq.desc()).limit(count)
        if before is not None:
            query = query.where(_entries.c.seq < before)
        return [entry_of(row) for row in self._read(query)]

    def last(self, job: str, kind: Kind) -> Entry | None:
        """The newest entry of one kind."""
        query = (
            select(_entries)
            .where(_entries.c.job == job, _entries.c.kind == str(kind))
            .order_by(_entries.c.seq.desc())
            .limit(1)
        )
        rows = self._read(query)
        return entry_of(rows[0]) if rows else None

    def newest(self, kind: Kind | None = None) -> dict[str, Entry]:
        """The newest entry of each job, of one kind or any; a job without one lacks."""
        last = select(_entries.c.job, func.max(_entries.c.seq).label("seq")).group_by(_entries.c.job)
        if kind is not None:
            last = last.where(_entries.c.kind == str(kind))
        found = last.subquery()
        query = select(_entries).join(found, (_entries.c.job == found.c.job) & (_entries.c.seq == found.c.seq))
        return {row.job: entry_of(row) for row in self._read(query)}

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
        try:
            rows = self._read(select(_entries).where(_entries.c.job == job).order_by(_entries.c.seq))
        except RecordProblem as problem:
            return unreadable(self._connection, job) or [str(problem)]
        for row in rows:
            if row.seq != due:
                problems.append(f"{job}: entry {due} is missing")
            if row.previous != previous:
                problems.append(f"{job}: entry {row.seq} does not follow the entry before it")
            if _digest(row) != row.hash:
                problems.append(f"{job}: entry {row.seq} ({row.kind}) was altered")
            previous, due = row.hash, row.seq + 1
        return problems

    def _read(self, query: Any) -> list[Any]:
        try:
            try:
                rows = list(self._connection.execute(query))
            except DBAPIError as error:
                if not reads_on_in_spite_of(error.orig, self._connection):
                    raise
                rows = list(self._connection.execute(query))
            self._connection.rollback()
        except SQLAlchemyError as error:
            raise RecordProblem(f"{self.where}: the record can't be read: {reason_of(error)}") from error
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


def _digest(row: Any) -> str:
    """Empty where what stands there is no text or number any more."""
    try:
        return entry_hash(row.job, row.seq, row.kind, row.at, row.monotonic, row.body, row.previous)
    except TypeError:
        return ""


def entry_of(row: Any) -> Entry:
    """The entry that a row of the table is; raises RecordProblem for one that was damaged beyond reading."""
    try:
        body = json.loads(row.body)
    except (ValueError, TypeError):
        raise RecordProblem(f"{row.job}: entry {row.seq} is damaged: turnproof record verify {row.job}") from None
    return Entry(row.job, row.seq, row.kind, row.at, row.monotonic, body, row.previous, row.hash)


def reason_of(error: Exception) -> str:
    """The first line of what the database says, and what can be done about it."""
    return reason_words(error.orig if isinstance(error, DBAPIError) and error.orig is not None else error)
