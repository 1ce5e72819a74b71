"""The table of the record, and how a record of an older version is brought to this one, after a copy of it was kept."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Connection, Float, Integer, MetaData, String, Table, Text, UniqueConstraint, text
from sqlalchemy.dialects.sqlite import dialect as sqlite_dialect

from bench.records.entry import Entry
from bench.records.problem import RecordProblem
from bench.records.search.tables import statements as find_statements

__all__ = ["VERSION", "copy_of", "entries", "prepare", "row_of"]

VERSION = 3
_metadata = MetaData()
entries = Table(
    "entry",
    _metadata,
    Column("id", Integer, primary_key=True),
    Column("job", String(40), nullable=False),
    Column("seq", Integer, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("at", String(40), nullable=False),
    Column("monotonic", Float, nullable=False),
    Column("body", Text, nullable=False),
    Column("previous", String(64), nullable=False),
    Column("hash", String(64), nullable=False),
    UniqueConstraint("job", "seq"),
)
# Nothing measured is ever changed: the database itself refuses.
_GUARDS = tuple(
    f"CREATE TRIGGER IF NOT EXISTS entry_no_{verb.lower()} BEFORE {verb} ON entry "
    "BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END"
    for verb in ("UPDATE", "DELETE")
)
_STEPS: dict[int, tuple[str, ...]] = {
    # Of a million counts only the few entries between them are read.
    2: ("CREATE INDEX IF NOT EXISTS entry_kind ON entry (job, kind, seq)",),
    # What a search reads; derived, and no part of the chain.
    3: find_statements(sqlite_dialect()),
}
"""What makes a version out of the one before; entries themselves are never touched, or their hashes would not hold."""


def prepare(connection: Connection, path: Path) -> None:
    """Bring the record to this version.  Raises RecordProblem for one of a newer program, and where no copy can be kept
    of an older one, which is then left as it was."""
    version = _version(connection)
    if version > VERSION:
        raise RecordProblem(f"{path}: record version {version} is newer than this program, expected {VERSION}")
    if version == VERSION:
        return
    if version > 0:
        _keep_copy(path, copy_of(path, version), version)
    connection.exec_driver_sql("BEGIN IMMEDIATE")
    version = connection.exec_driver_sql("PRAGMA user_version").scalar_one()  # another program may have been first
    if version == 0:
        _metadata.create_all(connection)
        for guard in _GUARDS:
            connection.execute(text(guard))
    for step in range(max(version, 1) + 1, VERSION + 1):
        for statement in _STEPS[step]:
            connection.execute(text(statement))
    connection.exec_driver_sql(f"PRAGMA user_version = {max(version, VERSION)}")
    connection.commit()


def row_of(entry: Entry, content: str) -> dict[str, Any]:
    """As a statement takes it.  content: the canonical JSON of its body."""
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


def copy_of(path: Path, version: int) -> Path:
    """Where the record is kept as it was in that version."""
    return path.with_name(f"{path.stem}.version-{version}{path.suffix}")


def _version(connection: Connection) -> int:
    version = int(connection.exec_driver_sql("PRAGMA user_version").scalar_one())
    connection.rollback()
    return version


def _keep_copy(path: Path, copy: Path, version: int) -> None:
    """All of it, with what stands only in the write-ahead log; a copy of that version that is there already stays.

    Of two programs at once each writes a file of its own: whichever is named last holds the same, or that version is
    gone from the record meanwhile and the other's copy stays.
    """
    part = copy.with_name(f"{copy.name}.{os.getpid()}.part")
    try:
        if copy.exists() and _version_of(copy) == version:
            return
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(part)) as target:
            source.backup(target)
        if _version_of(part) == version:
            part.replace(copy)
    except (sqlite3.Error, OSError) as error:
        raise RecordProblem(
            f"{path}: a copy must be kept before its version is raised, and can't be written to {copy}: {error}"
        ) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _version_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])
