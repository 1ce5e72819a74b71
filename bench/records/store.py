"""The store: SQLite, append-only, one hash chain for each job."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from sqlalchemy import (
    Connection,
    bindparam,
    create_engine,
    event,
    insert,
    select,
)
from sqlalchemy.exc import SQLAlchemyError

from bench.records.chain import broken_at
from bench.records.entry import GENESIS, Entry, Kind, canonical, entry_hash
from bench.records.problem import RecordDiverged, RecordProblem
from bench.records.reader import Records, reason_of
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
_AT = select(_entries.c.hash).where(_entries.c.job == bindparam("of_job"), _entries.c.seq == bindparam("at_seq"))


class Store(Records):
    """Appends entries and reads them back; every append is on the disk when it returns.

    stored: is told the job of each entry that was appended.
    """

    def __init__(
        self,
        path: Path,
        *,
        clock: Callable[[], float] = time.monotonic,
        utcnow: Callable[[], datetime] = lambda: datetime.now(UTC),
        stored: Callable[[str], None] = lambda job: None,
    ) -> None:
        self.path = path
        self.where = str(path)
        self._clock = clock
        self._utcnow = utcnow
        self._stored = stored
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._engine = create_engine(f"sqlite:///{path}", connect_args={"check_same_thread": False})
            event.listen(self._engine, "connect", _settings)
            self._connection: Connection = self._engine.connect()
            try:
                prepare(self._connection, path)
            except BaseException:
                self.close()  # or its lock would stand as long as anybody holds the trace
                raise
        except (SQLAlchemyError, OSError) as error:
            raise RecordProblem(f"{path}: the record can't be opened: {reason_of(error)}") from error

    def append(self, job: str, kind: Kind, body: dict[str, Any]) -> Entry:
        """Add one entry to a job's chain, under the database's write lock; raises RecordProblem."""
        try:
            with self._writing() as connection:
                last = connection.execute(_LAST, {"of_job": job}).first()
                seq, previous = (last.seq + 1, last.hash) if last else (1, GENESIS)
                at, monotonic, content = self._utcnow().isoformat(), self._clock(), canonical(body)
                digest = entry_hash(job, seq, kind, at, monotonic, content, previous)
                entry = Entry(job, seq, str(kind), at, monotonic, body, previous, digest)
                connection.execute(_INSERT, _row(entry, content))
        except SQLAlchemyError as error:
            raise RecordProblem(f"{self.path}: not stored: {reason_of(error)}") from error
        self._stored(job)
        return entry

    def take(self, entries: Sequence[Entry]) -> int:
        """Add entries of one job that were kept elsewhere, as they are: all of them or none; how many were new.

        entries: in order and without a gap, from the job's first or from one that is here.  Those that are here are
        passed over.  Raises RecordDiverged where the job was gone on with here by other entries, RecordProblem for
        entries that don't follow each other or were altered.
        """
        new = 0
        try:
            with self._writing() as connection:
                for entry in entries:
                    here = connection.execute(_AT, {"of_job": entry.job, "at_seq": entry.seq}).first()
                    if here is not None and here.hash == entry.hash:
                        continue
                    if here is not None:
                        what = f"{entry.job}: entry {entry.seq} is another one here"
                        raise RecordDiverged(f"{what}: the job was gone on with at two places")
                    last = connection.execute(_LAST, {"of_job": entry.job}).first()
                    seq, previous = (last.seq + 1, last.hash) if last else (1, GENESIS)
                    if problem := broken_at(entry, seq, previous):
                        raise RecordProblem(problem)
                    connection.execute(_INSERT, _row(entry, canonical(entry.body)))
                    new += 1
        except SQLAlchemyError as error:
            raise RecordProblem(f"{self.path}: not stored: {reason_of(error)}") from error
        return new

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


def _row(entry: Entry, content: str) -> dict[str, Any]:
    return {
        "job": entry.job,
        "seq": entry.seq,
        "kind": entry.kind,
        "at": entry.at,
        "monotonic": entry.monotonic,
        "body": content,
        "previous": entry.previous,
        "hash": entry.hash,
    }
