"""What of a damaged file can't be read any more: named entry by entry, so that the rest is known to be there."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from itertools import groupby

from sqlalchemy import Connection, bindparam, func, select
from sqlalchemy.exc import SQLAlchemyError

from bench.records.schema import entries as _entries

__all__ = ["damage_of_file", "reads_on_in_spite_of", "unreadable"]

_MOST = 100_000
_ONE = select(_entries).where(_entries.c.job == bindparam("of_job"), _entries.c.seq == bindparam("at_seq"))


def reads_on_in_spite_of(cause: BaseException | None, connection: Connection) -> bool:
    """Whether it was a text that is none any more: from now on such a one is read with marks where it is damaged, and
    its hash tells."""
    raw = connection.connection.dbapi_connection
    if not isinstance(raw, sqlite3.Connection) or "Could not decode" not in str(cause):
        return False
    raw.text_factory = lambda data: data.decode(errors="replace")
    return True


def unreadable(connection: Connection, job: str) -> list[str]:
    """Which entries of a job the database fails to give, in a line; none where it gives each by itself."""
    last = _last(connection, job)
    if last is None:
        return [f"{job}: which of its entries are damaged can't be told"]
    gone = [seq for seq in range(1, last + 1) if not _given(connection, job, seq)]
    if not gone:
        return []
    return [f"{job}: entries that can't be read any more: {_runs(gone)}; {last - len(gone)} of {last} can"]


def damage_of_file(connection: Connection) -> str:
    """The first thing that the database's own check of its whole file finds; empty where it finds it whole."""
    try:
        found = str(connection.exec_driver_sql("PRAGMA integrity_check(1)").scalar_one())
        connection.rollback()
    except SQLAlchemyError as error:
        connection.rollback()
        found = str(error.__cause__ or error)
    lines = [line for line in found.splitlines() if not line.startswith("***")]
    return "" if found == "ok" else lines[0] if lines else found.strip()


def _runs(numbers: Iterable[int]) -> str:
    """`4, 7 to 9`."""
    runs = [[number for _, number in run] for _, run in groupby(enumerate(numbers), key=lambda one: one[1] - one[0])]
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


def _last(connection: Connection, job: str) -> int | None:
    try:
        last = connection.execute(select(func.max(_entries.c.seq)).where(_entries.c.job == job)).scalar()
        connection.rollback()
    except SQLAlchemyError:
        connection.rollback()
        return None
    return min(_MOST, int(last or 0))


def _given(connection: Connection, job: str, seq: int) -> bool:
    try:
        found = connection.execute(_ONE, {"of_job": job, "at_seq": seq}).first()
        connection.rollback()
    except SQLAlchemyError:
        connection.rollback()
        return False
    return found is not None
