"""The store: SQLite, append-only, one hash chain for each job."""

from __future__ import annotations

import contextlib
import errno
import os
import time
from collections import Counter, deque
from collections.abc import Callable, Collection, Iterable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from sqlalchemy import (
    URL,
    Connection,
    bindparam,
    create_engine,
    event,
    insert,
    select,
)
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from bench.records.chain import broken_at
from bench.records.entry import GENESIS, Entry, Kind, canonical, entry_hash
from bench.records.log_end import log_size
from bench.records.looked_over import identity_of, look_over
from bench.records.newest import NewestLines
from bench.records.problem import RecordDiverged, RecordProblem
from bench.records.reader import Records, reason_of
from bench.records.reasons import is_held
from bench.records.schema import entries as _entries
from bench.records.schema import prepare, row_of

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

_TOLD_AFTER_S, _PATIENCE_S = 5.0, 60.0
"""Of a record that another program holds: what is counted or read meanwhile can't be had again."""
_AT_ONCE = 500
_APART = 10_000
"""Entries: more than the newest lines that are kept beside the record."""
_OPEN_HERE: Counter[Path] = Counter()
"""How often each record is open in this process; only ever changed by its opening and closing."""


class Store(Records):
    """Appends entries and reads them back; every append is on the disk when it returns.

    stored: is told the job of each entry that was appended.  said: what there is to tell of how the record was found, a
    line each; mostly nothing;  waiting: is told when another program holds it for longer than storing takes.
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
        self.waiting: Callable[[str], None] = lambda line: None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            if path.exists() and not os.access(path, os.W_OK):
                raise PermissionError(errno.EACCES, "it may not be written")
            # Where this very process has it open, nobody left it.
            logged = 0 if _OPEN_HERE[path] else log_size(path)
            self._engine = create_engine(
                URL.create("sqlite", database=str(path)), connect_args={"check_same_thread": False}
            )
            event.listen(self._engine, "connect", _settings)
            self._connection: Connection = self._engine.connect()
            _OPEN_HERE[path] += 1
            try:
                prepare(self._connection, path)
                self.newest_lines = NewestLines(path)
                self._identity = GENESIS
                self.said = look_over(self, self._connection, logged, utcnow())
            except BaseException:
                self.close()  # or its lock would stand as long as anybody holds the trace
                raise
        except (SQLAlchemyError, OSError) as error:
            reason = error.strerror if isinstance(error, OSError) else reason_of(error)
            raise RecordProblem(f"{path}: the record can't be opened: {reason}") from error

    def append(self, job: str, kind: Kind, body: dict[str, Any]) -> Entry:
        """Add one entry to a job's chain, under the database's write lock; raises RecordProblem."""
        try:
            with self._writing() as connection:
                self.newest_lines.make_room()
                last = connection.execute(_LAST, {"of_job": job}).first()
                seq, previous = (last.seq + 1, last.hash) if last else (1, GENESIS)
                at, monotonic, content = self._utcnow().isoformat(), self._clock(), canonical(body)
                digest = entry_hash(job, seq, kind, at, monotonic, content, previous)
                entry = Entry(job, seq, str(kind), at, monotonic, body, previous, digest)
                connection.execute(_INSERT, row_of(entry, content))
        except SQLAlchemyError as error:
            raise RecordProblem(f"{self.path}: not stored: {reason_of(error)}") from error
        self._keep_lines([entry])
        self._stored(job)
        return entry

    def take(self, entries: Iterable[Entry]) -> int:
        """Add entries of one job that were kept elsewhere, as they are: all of them or none; how many were new.

        entries: in order and without a gap, from the job's first or from one that is here.  Those that are here are
        passed over.  Raises RecordDiverged where the job was gone on with here by other entries, RecordProblem for
        entries that don't follow each other or were altered.
        """
        new = 0
        # Of a job that comes whole there may be hundreds of thousands, and who counts meanwhile waits for their lock.
        rows: list[dict[str, Any]] = []
        newest: deque[Entry] = deque(maxlen=_APART)
        try:
            with self._writing() as connection:
                standing: tuple[int, str] | None = None
                for entry in entries:
                    if standing is None:
                        last = connection.execute(_LAST, {"of_job": entry.job}).first()
                        standing = (last.seq, last.hash) if last else (0, GENESIS)
                    if entry.seq <= standing[0] and _is_here(connection, entry):
                        continue
                    if problem := broken_at(entry, standing[0] + 1, standing[1]):
                        raise RecordProblem(problem)
                    rows.append(row_of(entry, canonical(entry.body)))
                    newest.append(entry)
                    standing = (entry.seq, entry.hash)
                    new += 1
                    if len(rows) == _AT_ONCE:
                        connection.execute(_INSERT, rows)
                        rows.clear()
                if rows:
                    connection.execute(_INSERT, rows)
        except SQLAlchemyError as error:
            raise RecordProblem(f"{self.path}: not stored: {reason_of(error)}") from error
        self._keep_lines(newest)
        return new

    @property
    def connection(self) -> Connection:
        """For who looks at the file itself."""
        return self._connection

    def close(self) -> None:
        if not self._connection.closed:
            _OPEN_HERE[self.path] -= 1
        self._connection.close()
        self._engine.dispose()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _keep_lines(self, entries: Collection[Entry]) -> None:
        with contextlib.suppress(SQLAlchemyError):  # they are stored, whatever becomes of their copy
            if self._identity == GENESIS:
                self._identity = identity_of(self._connection)
                self._connection.rollback()
            self.newest_lines.keep(entries, self._identity)

    def _writing(self) -> _Writing:
        return _Writing(self._connection, self.waiting, self.where)


class _Writing:
    """A transaction that holds the write lock from its start, so that two programs can't chain to the same entry."""

    def __init__(self, connection: Connection, waiting: Callable[[str], None], where: str) -> None:
        self._connection, self._waiting, self._where = connection, waiting, where

    def __enter__(self) -> Connection:
        begun = time.monotonic()
        told = False
        while not self._begins():
            waited = time.monotonic() - begun
            if waited > _TOLD_AFTER_S and not told:
                told = True
                self._waiting(
                    f"{self._where}: another program holds the record: waited for up to a minute; close it there"
                )
            if waited > _PATIENCE_S:
                self._connection.exec_driver_sql("BEGIN IMMEDIATE")  # raises, or it has come after all
                break
        return self._connection

    def _begins(self) -> bool:
        """The database waits longer and longer between two looks, so that whoever waits most gets least; here it begins
        anew with short ones, and Ctrl-C is heard in between."""
        raw: Any = self._connection.connection.dbapi_connection
        raw.execute("PRAGMA busy_timeout=50")
        try:
            self._connection.exec_driver_sql("BEGIN IMMEDIATE")
        except DBAPIError as error:
            if not is_held(error.orig):
                raise
            self._connection.rollback()
            return False
        finally:
            raw.execute("PRAGMA busy_timeout=5000")
        return True

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


def _is_here(connection: Connection, entry: Entry) -> bool:
    """Raises RecordDiverged where another one has its place."""
    here = connection.execute(_AT, {"of_job": entry.job, "at_seq": entry.seq}).first()
    if here is not None and here.hash != entry.hash:
        what = f"{entry.job}: entry {entry.seq} is another one here"
        raise RecordDiverged(f"{what}: the job was gone on with at two places")
    return here is not None


def _settings(connection: Any, _: Any) -> None:
    connection.isolation_level = None  # we say BEGIN ourselves
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "busy_timeout=5000", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")
