"""The records of a workshop, open: read like a bench's own, and added to from each of them."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from types import TracebackType
from typing import Any

from sqlalchemy import Connection, create_engine, func, select
from sqlalchemy.dialects.postgresql import insert
from sqlalchemy.exc import InterfaceError, OperationalError, SQLAlchemyError

from bench.job.records_address import ServerAddress
from bench.records.chain import broken_at
from bench.records.entry import GENESIS, Entry, canonical
from bench.records.problem import RecordProblem, ServerAway
from bench.records.reader import Records, entry_of, reason_of
from bench.records.server.tables import contents, kept, prepare_server, take_turn

__all__ = ["Course", "Server"]


@dataclass(frozen=True)
class Course:
    """number: 0 came first;  newest: hash of its newest entry;  bench: whose entry that is."""

    number: int
    newest: str
    bench: str


class Server(Records):
    """One connection; each method raises ServerAway while the server is not to be had, RecordProblem for all else.

    bench: whose entries those are that are added.
    """

    def __init__(self, address: ServerAddress, bench: str, doing: str = "record") -> None:
        self.where = address.words
        self.bench = bench
        _must_have_driver(self.where)
        self._engine = create_engine(
            "postgresql+psycopg://", creator=lambda: _connect(address.conninfo(f"turnproof {doing}@{bench}"))
        )
        try:
            self._connection: Connection = self._engine.connect()
        except SQLAlchemyError as error:
            self._engine.dispose()
            # `connection to server at "...", port ... failed: Connection refused`, of which the address was said
            reason = reason_of(error).rpartition(" failed: ")[2].removeprefix("FATAL:").strip()
            raise ServerAway(f"{self.where}: {reason}") from error
        try:
            try:
                prepare_server(self._connection, self.where)
            except BaseException:
                self.close()
                raise
        except SQLAlchemyError as error:
            raise self._problem(error) from error

    def take(self, entries: Sequence[Entry]) -> int:
        """Add entries of one job, in order and without a gap; how many were new.  All or none.

        The first of them is the job's first, or names one that is here.  Raises RecordProblem for what is no chain.
        """
        if not entries:
            return 0
        for entry, before in zip(entries, (None, *entries), strict=False):
            seq, previous = (entry.seq, entry.previous) if before is None else (before.seq + 1, before.hash)
            if problem := broken_at(entry, seq, previous):
                raise RecordProblem(f"{self.where}: not stored: {problem}")
        try:
            take_turn(self._connection)
            here = self._here([one.hash for one in entries])
            new = [one for one in entries if one.hash not in here]
            if new:
                course = self._course_for(new[0])
                rows = [_row(one, course, self.bench) for one in new]
                self._connection.execute(insert(kept), rows)
            self._connection.commit()
        except SQLAlchemyError as error:
            raise self._problem(error) from error
        except BaseException:
            self._connection.rollback()
            raise
        return len(new)

    def has(self, hashes: Iterable[str]) -> set[str]:
        """Those of the hashes that are those of entries here."""
        try:
            found = self._here(list(hashes))
            self._connection.rollback()
        except SQLAlchemyError as error:
            raise self._problem(error) from error
        return found

    def courses(self, job: str) -> list[Course]:
        """Of a job, the one that came first first; more than one only where it was gone on with at two benches."""
        last = (
            select(kept.c.course, func.max(kept.c.seq).label("seq"))
            .where(kept.c.job == job)
            .group_by(kept.c.course)
            .subquery()
        )
        query = (
            select(kept.c.course, kept.c.hash, kept.c.bench)
            .join(last, (kept.c.course == last.c.course) & (kept.c.seq == last.c.seq))
            .where(kept.c.job == job)
            .order_by(kept.c.course)
        )
        return [Course(row.course, row.hash, row.bench) for row in self._read(query)]

    def entries_of_course(self, job: str, number: int, after: int = 0) -> list[Entry]:
        """Those above `after` in order, with those of the courses that it left."""
        found: list[Entry] = []
        below: int | None = None
        while True:
            own = select(kept).where(kept.c.job == job, kept.c.course == number).order_by(kept.c.seq)
            query = own.where(kept.c.seq > after)
            rows = self._read(query if below is None else query.where(kept.c.seq < below))
            found = [*map(entry_of, rows), *found]
            first = self._read(own.limit(1))
            if not first or first[0].seq <= after + 1:
                return found
            parent = self._read(select(kept.c.course).where(kept.c.hash == first[0].previous))
            if not parent:
                return found  # of the first course, or `verify` tells of the gap
            number, below = parent[0].course, first[0].seq

    def verify(self, job: str) -> list[str]:
        """As `Records.verify`, of every course."""
        problems = super().verify(job)
        for course in self.courses(job)[1:]:
            entries = self.entries_of_course(job, course.number)
            due = [(1, GENESIS), *((one.seq + 1, one.hash) for one in entries)]
            found = [broken_at(one, *after) for one, after in zip(entries, due, strict=False)]
            problems += [f"{line}, as bench {course.bench} went on" for line in found if line]
        return problems

    def keep_content(self, data: bytes) -> None:
        """A file that an entry names, by its hash."""
        row = {"sha256": hashlib.sha256(data).hexdigest(), "bytes": data}
        try:
            self._connection.execute(insert(contents).on_conflict_do_nothing(), row)
            self._connection.commit()
        except SQLAlchemyError as error:
            raise self._problem(error) from error

    def lacks_contents(self, hashes: Iterable[str]) -> set[str]:
        """Those that no content here has."""
        wanted = set(hashes)
        rows = self._read(select(contents.c.sha256).where(contents.c.sha256.in_(list(wanted)))) if wanted else []
        return wanted - {row.sha256 for row in rows}

    def content(self, sha256: str) -> bytes | None:
        """As it was kept; raises RecordProblem where it was altered."""
        rows = self._read(select(contents.c.bytes).where(contents.c.sha256 == sha256))
        if not rows:
            return None
        data = bytes(rows[0].bytes)
        if hashlib.sha256(data).hexdigest() != sha256:
            raise RecordProblem(f"{self.where}: content {sha256}: was altered")
        return data

    @contextlib.contextmanager
    def asking(self) -> Iterator[Connection]:
        """For what is of no entry."""
        try:
            yield self._connection
            self._connection.commit()
        except SQLAlchemyError as error:
            raise self._problem(error) from error

    def close(self) -> None:
        self._connection.close()
        self._engine.dispose()

    def __enter__(self) -> Server:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _here(self, hashes: list[str]) -> set[str]:
        return set(self._connection.execute(select(kept.c.hash).where(kept.c.hash.in_(hashes))).scalars())

    def _course_for(self, entry: Entry) -> int:
        """The course of the entry that it follows, or a new one where another entry follows that already."""
        newest = select(func.max(kept.c.course)).where(kept.c.job == entry.job)
        course = 0
        if entry.previous != GENESIS:
            before = select(kept.c.course).where(
                kept.c.hash == entry.previous, kept.c.job == entry.job, kept.c.seq == entry.seq - 1
            )
            found = self._connection.execute(before).scalar_one_or_none()
            if found is None:
                raise RecordProblem(f"{self.where}: not stored: {entry.job}: entry {entry.seq - 1} is missing")
            course = found
        elif entry.seq != 1:
            raise RecordProblem(f"{self.where}: not stored: {entry.job}: entry 1 is missing")
        place = select(kept.c.id).where(kept.c.job == entry.job, kept.c.course == course, kept.c.seq == entry.seq)
        if self._connection.execute(place).first() is None:
            return course
        return int(self._connection.execute(newest).scalar_one()) + 1

    def _read(self, query: Any) -> list[Any]:
        try:
            rows = list(self._connection.execute(query))
            self._connection.rollback()
        except SQLAlchemyError as error:
            raise self._problem(error) from error
        return rows

    def _problem(self, error: SQLAlchemyError) -> RecordProblem:
        with contextlib.suppress(SQLAlchemyError):
            self._connection.rollback()
        line = f"{self.where}: {reason_of(error)}"
        return ServerAway(line) if isinstance(error, (OperationalError, InterfaceError)) else RecordProblem(line)


def _must_have_driver(where: str) -> None:
    """Asked first: the engine imports it before it asks anybody for a connection."""
    try:
        import psycopg  # noqa: F401
    except ImportError:
        raise RecordProblem(
            f"{where}: what speaks to it is not installed (the extra `server`: pip install -e '.[server]' in the "
            "folder of the program)"
        ) from None


def _connect(conninfo: str) -> Any:
    import psycopg

    return psycopg.connect(conninfo)


def _row(entry: Entry, course: int, bench: str) -> dict[str, Any]:
    return {
        "hash": entry.hash,
        "job": entry.job,
        "course": course,
        "seq": entry.seq,
        "kind": entry.kind,
        "at": entry.at,
        "monotonic": entry.monotonic,
        "body": canonical(entry.body),
        "previous": entry.previous,
        "bench": bench,
    }
