"""What is searched for, and what is found: jobs, newest first, a page at a time."""

from __future__ import annotations

import logging
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, exists, func, literal_column, select
from sqlalchemy.exc import SQLAlchemyError

from bench.records.problem import RecordProblem
from bench.records.reader import Records, reason_of
from bench.records.search.index import bring_up, in_memory
from bench.records.search.tables import faults, instruments, jobs, uses
from bench.records.search.words import few_rows_with

__all__ = ["NAMED_ABOVE", "UNTESTED", "Asked", "Found", "FoundJob", "Use", "find_jobs", "instrument_uses"]

UNTESTED = "untested"
NAMED_ABOVE = 0.2
"""A fault less probable than this was hardly named."""
_SLOW_S = 1.0
_log = logging.getLogger(__name__)
_FEW = 2000


@dataclass(frozen=True)
class Asked:
    """Empty for what is not asked.  job: a part of its number;  equipment: words of its identity, each of which must
    be there;  since, until: the first moment, and the first after the last, UTC, ISO 8601;  verdict: of the last
    finished test, or `untested`;  fault: as a test named it;  instrument: a part of name, identity, serial or
    certificate number.

    Times are those of the test where a verdict or a fault is asked for, those of its use where an instrument is, else
    of what was kept last.
    """

    job: str = ""
    equipment: str = ""
    since: str = ""
    until: str = ""
    verdict: str = ""
    fault: str = ""
    instrument: str = ""

    @property
    def anything(self) -> bool:
        return any((self.job, self.equipment, self.since, self.until, self.verdict, self.fault, self.instrument))


@dataclass(frozen=True)
class FoundJob:
    """last_at, tested_at: UTC, ISO 8601;  last_kind: of the newest entry;  verdict, tested_at: empty where none was."""

    job: str
    name: str
    equipment: str
    owner: str
    file: str
    first_at: str
    last_at: str
    last_kind: str
    entries: int
    tests: int
    verdict: str
    tested_at: str


@dataclass(frozen=True)
class Use:
    """key: which instrument it is, by `fold.instrument_key`;  seq: of the entry;  at: UTC, ISO 8601."""

    key: str
    name: str
    what: str
    job: str
    seq: int
    at: str


@dataclass(frozen=True)
class Found:
    """more: whether others fit besides;  note: what a person is told of how it was searched, empty for nothing."""

    jobs: tuple[FoundJob, ...]
    more: bool
    note: str = ""


def find_jobs(records: Records, asked: Asked, most: int) -> Found:
    """At most `most` jobs, those on which something was kept last first; raises RecordProblem."""
    connection, note = _searched(records)
    rows = _rows(records, connection, jobs_asked(asked, connection).limit(most + 1))
    found = tuple(FoundJob(*row) for row in rows[:most])
    return Found(found, len(rows) > most, note)


def jobs_asked(asked: Asked, connection: Connection) -> Select[Any]:
    """The query for it."""
    words = [one for one in (asked.job.lower(), *asked.equipment.lower().split()) if one]
    rows = few_rows_with(connection, words) if words else None
    if rows is None:
        conditions: list[ColumnElement[bool]] = [_holds(jobs.c.words, one) for one in words]
    else:
        conditions = [literal_column("find_job.rowid").in_(rows)]
    if asked.job:
        conditions.append(_holds(func.lower(jobs.c.job), asked.job.lower()))
    if asked.verdict:
        conditions.append(jobs.c.verdict == ("" if asked.verdict == UNTESTED else asked.verdict))
        conditions += [] if asked.verdict == UNTESTED else _within(jobs.c.tested_at, asked)
    if asked.fault:
        named = (faults.c.fault == asked.fault, faults.c.probability >= NAMED_ABOVE, *_within(faults.c.at, asked))
        conditions.append(_in(connection, faults.c.job, named))
    if asked.instrument:
        meant = select(instruments.c.key).where(_holds(instruments.c.words, asked.instrument.lower()))
        keys = [row.key for row in connection.execute(meant)]
        conditions.append(_in(connection, uses.c.job, (uses.c.key.in_(keys), *_within(uses.c.at, asked))))
    if not asked.fault and not asked.instrument and asked.verdict in ("", UNTESTED):
        conditions += _within(jobs.c.last_at, asked)
    columns = [jobs.c[name] for name in FoundJob.__dataclass_fields__]
    return select(*columns).where(*conditions).order_by(jobs.c.last_at.desc(), jobs.c.job.desc())


def _holds(column: Any, part: str) -> ColumnElement[bool]:
    """That a part stands in a column of small letters."""
    plain = not set("%_/") & set(part)
    found: ColumnElement[bool] = column.like(f"%{part}%") if plain else column.contains(part, autoescape=True)
    return found


def _in(connection: Connection, job: Any, conditions: Sequence[ColumnElement[bool]]) -> ColumnElement[bool]:
    """That a job is among those of another table.

    A few are gathered first; where they are many the newest jobs are looked at one by one until a page is full.
    """
    few = select(job).where(*conditions).limit(_FEW + 1).subquery()
    if int(connection.execute(select(func.count()).select_from(few)).scalar_one()) <= _FEW:
        return jobs.c.job.in_(select(job).where(*conditions))
    return exists().where(job == jobs.c.job, *conditions)


def instrument_uses(records: Records, text: str) -> list[Use]:
    """Each entry that tells of an instrument whose words hold `text`, oldest first; raises RecordProblem."""
    connection, _ = _searched(records)
    meant = select(instruments.c.key).where(_holds(instruments.c.words, text.lower()))
    columns = [uses.c[name] for name in Use.__dataclass_fields__]
    query = select(*columns).where(uses.c.key.in_(meant)).order_by(uses.c.at, uses.c.job, uses.c.seq)
    return [Use(*row) for row in _rows(records, connection, query)]


def _rows(records: Records, connection: Connection, query: Select[Any]) -> list[Any]:
    try:
        rows = list(connection.execute(query))
        connection.rollback()
    except SQLAlchemyError as error:
        raise RecordProblem(f"{records.where}: the record can't be searched: {reason_of(error)}") from error
    finally:
        if connection is not records._connection:
            connection.close()
    return rows


def _within(when: ColumnElement[str], asked: Asked) -> list[ColumnElement[bool]]:
    found = []
    if asked.since:
        found.append(when >= asked.since)
    if asked.until:
        found.append(when < asked.until)
    return found


def _searched(records: Records) -> tuple[Connection, str]:
    """Where the tables are, up to date: in the record, or made for this once where it can't be written."""
    began = time.monotonic()
    try:
        bring_up(records)
        return records._connection, ""
    except RecordProblem as problem:
        _log.info("%s: searched in memory", problem)
        connection = in_memory(records)
    took = time.monotonic() - began
    slow = f"searched without an index in {took:.1f} s: the record can't be written" if took > _SLOW_S else ""
    return connection, slow
