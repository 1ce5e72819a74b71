"""What is found when a record is opened after a program or the power went: entries that its log lost are put back, and
what can't be had back is said, once, and kept in the record."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import bindparam, insert, select
from sqlalchemy.exc import SQLAlchemyError

from bench.records.chain import broken_at
from bench.records.clock import behind_words
from bench.records.entry import GENESIS, Entry, canonical
from bench.records.log_end import ends_unfinished, log_of
from bench.records.moments import second
from bench.records.newest import Line
from bench.records.reader import entry_of, reason_of
from bench.records.schema import entries as _entries
from bench.records.schema import row_of

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from bench.records.store import Store

__all__ = ["identity_of", "look_over"]

_MOST = 1000
"""Entries that a log of the usual size can hold, and more: each takes three pages or more, of a thousand."""
_AT = select(_entries.c.hash).where(_entries.c.job == bindparam("of_job"), _entries.c.seq == bindparam("at_seq"))


def identity_of(connection: Connection) -> str:
    """By which a record is told from another: the hash of its first entry, GENESIS where it has none yet."""
    first = connection.execute(select(_entries.c.hash).order_by(_entries.c.id).limit(1)).scalar()
    return GENESIS if first is None else str(first)


def look_over(store: Store, connection: Connection, logged: int, now: datetime) -> tuple[str, ...]:
    """What there is to say, a line each; mostly nothing, for the price of one look.

    logged: bytes of the log before the record was opened: none where whoever had it before ended in good order.
    """
    try:
        clock = _clock_words(store, connection, now)
        return (*_look_over(store, connection, logged), *clock)
    except (SQLAlchemyError, ValueError):
        # It is damaged: what can be read of it still can, and whoever reads or verifies it says what can't.
        with contextlib.suppress(SQLAlchemyError):
            connection.rollback()
        return ()


def _look_over(store: Store, connection: Connection, logged: int) -> tuple[str, ...]:
    identity = identity_of(connection)
    connection.rollback()
    last = store.newest_lines.last()
    if not logged and (last is None or not _missing(connection, [last.entry])):
        return ()
    unfinished = _unfinished(connection, store.path) if logged else False
    unlined, unstored = _differences(store, connection)
    said = _put_back(store, connection, identity) if unstored else ()
    if unlined and not unstored:
        # A program killed between the two has stored an entry without a line: the next one's line would hang on it.
        store.newest_lines.keep(unlined, identity)
    if logged:
        _fold(connection)
    if unfinished and not said:
        said = (f"{store.path}: {_unfinished_words(store, known=last is not None)}",)
    return said


def _unfinished_words(store: Store, *, known: bool) -> str:
    if known:
        return "a program ended while it stored an entry: that one is not kept, every one before it is"
    return (
        "its write-ahead log ends in the middle of an entry; whether entries before it are lost can't be known without "
        f"{store.newest_lines.path.name}, which is not there"
    )


def _clock_words(store: Store, connection: Connection, now: datetime) -> tuple[str, ...]:
    newest = connection.execute(select(_entries.c.at).order_by(_entries.c.id.desc()).limit(1)).scalar()
    connection.rollback()
    said = "" if newest is None else behind_words(newest, now)
    return (f"{store.path}: {said}",) if said else ()


@dataclass(frozen=True)
class _Lost:
    """Of one job.  count: entries that are known to be gone;  last: the newest of them;  why: in a few words."""

    job: str
    count: int
    last: Entry
    why: str


def _put_back(store: Store, connection: Connection, identity: str) -> tuple[str, ...]:
    lines = _those_of(identity, store.newest_lines.newest())
    last = store.newest_lines.last()
    if last is not None and not lines:
        aside = store.newest_lines.set_aside(_stamp())
        return (f"{store.path}: entries of another record lay beside it; they are in {aside.name} now",)
    missing = _missing(connection, [line.entry for line in lines])
    if not missing or not _was_once(connection, lines):
        return ()
    back, lost = 0, []
    for job in dict.fromkeys(entry.job for entry in missing):
        of_job = _in_order([entry for entry in missing if entry.job == job])
        count, why = _filled(connection, of_job)
        back += count
        if why:
            lost.append(_lost(store, of_job[count:], why))
    said = []
    if back:
        said.append(
            f"{store.path}: {_entries_words(back)} missing in it, as after a damaged write-ahead log: put back"
            + ("" if lost else ", nothing is lost")
        )
    if lost:
        aside = store.newest_lines.set_aside(_stamp())
        said += [_keep_loss(store, one, aside) for one in lost]
    return tuple(said)


def _was_once(connection: Connection, lines: Sequence[Line]) -> bool:
    """Whether the record is as it was some time ago.  One that never was so was altered: that is for `verify` to say,
    and nothing is put into it."""
    newest = select(_entries.c.job, _entries.c.seq, _entries.c.hash).order_by(_entries.c.id.desc()).limit(1)
    row = connection.execute(newest).first()
    connection.rollback()
    return row is None or tuple(row) in {(line.entry.job, line.entry.seq, line.entry.hash) for line in lines}


def _filled(connection: Connection, entries: Sequence[Entry]) -> tuple[int, str]:
    """How many were put in their places, each behind the one that it names, and why not the next; all at once."""
    why = ""
    count = 0
    try:
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        for entry in entries:
            here = connection.execute(_AT, {"of_job": entry.job, "at_seq": entry.seq}).scalar()
            if here != entry.hash:
                before = connection.execute(_AT, {"of_job": entry.job, "at_seq": entry.seq - 1}).scalar()
                why = broken_at(entry, entry.seq, GENESIS if entry.seq == 1 else before or "")
                if here is not None:
                    why = f"{entry.job}: entry {entry.seq} is another one here"
                if why:
                    break
                connection.execute(insert(_entries), row_of(entry, canonical(entry.body)))
            count += 1
        connection.commit()
    except SQLAlchemyError as error:
        connection.rollback()
        return 0, reason_of(error)
    return count, why


def _entries_words(count: int) -> str:
    return f"{count} stored entries were" if count > 1 else "1 stored entry was"


def _those_of(identity: str, lines: Sequence[Line]) -> list[Line]:
    """Into an empty record all may be put back: it is the file that is gone."""
    return [line for line in lines if identity in (GENESIS, line.record)]


def _in_order(entries: Sequence[Entry]) -> list[Entry]:
    """Of a place that was taken twice, the one that was kept last: an older file was put there in between."""
    by_seq = {entry.seq: entry for entry in entries}
    return [by_seq[seq] for seq in sorted(by_seq)]


def _lost(store: Store, missing: Sequence[Entry], why: str) -> _Lost:
    last = max(missing, key=lambda entry: entry.seq)
    return _Lost(last.job, max(1, last.seq - store.count(last.job)), last, why)


def _keep_loss(store: Store, lost: _Lost, aside: Path) -> str:
    what = "1 entry that was stored is" if lost.count == 1 else f"{lost.count} entries that were stored are"
    text = (
        f"{what} lost with the write-ahead log ({lost.why}); the newest was number {lost.last.seq} of "
        f"{second(lost.last.at)}, {lost.last.kind}; what is left of them is in {aside.name}"
    )
    # Beside the record and not in the chain: an entry there would stand in the place of those that are lost, and
    # neither a bundle nor the records server could bring them back.
    with contextlib.suppress(OSError), aside.with_suffix(".txt").open("a", encoding="utf-8") as out:
        out.write(f"{lost.job}: {text}\n")
    return f"{store.path}: {lost.job}: {text}; before going on: a bundle (record import) or the records server has more"


def _differences(store: Store, connection: Connection) -> tuple[list[Entry], bool]:
    """Newest entries without a line, in order, and whether there are lines without an entry."""
    rows = connection.execute(select(_entries.c.hash).order_by(_entries.c.id.desc()).limit(2 * _MOST))
    stored = [row.hash for row in rows]
    lined = store.newest_lines.hashes(_MOST)
    unlined = list(takewhile(lambda digest: digest not in lined, stored[:8])) if lined else []
    if unlined:
        found = connection.execute(select(_entries).where(_entries.c.hash.in_(unlined)).order_by(_entries.c.id))
        entries = [entry_of(row) for row in found]
    else:
        entries = []
    connection.rollback()
    return entries, not set(lined) <= set(stored)


def _missing(connection: Connection, entries: Sequence[Entry]) -> list[Entry]:
    """Those that the record does not hold, in the order given."""
    here: set[tuple[str, str]] = set()
    for job in dict.fromkeys(entry.job for entry in entries):
        first = min(entry.seq for entry in entries if entry.job == job)
        of_job = select(_entries.c.hash).where(_entries.c.job == job, _entries.c.seq >= first)
        here |= {(job, row.hash) for row in connection.execute(of_job)}
    connection.rollback()
    return [entry for entry in entries if (entry.job, entry.hash) not in here]


def _unfinished(connection: Connection, path: Path) -> bool:
    """Under the write lock: what stands there then is of no program that lives.  Whoever has the lock is asked nothing:
    it lives, and writes over what was left."""
    with _without_waiting(connection), contextlib.suppress(Exception):
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        try:
            return ends_unfinished(log_of(path))
        finally:
            connection.rollback()
    return False


def _fold(connection: Connection) -> None:
    """What the log has goes into the file, and the log is empty; where another program reads, it stays as it is."""
    with _without_waiting(connection), contextlib.suppress(Exception):
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").all()
        connection.rollback()


@contextlib.contextmanager
def _without_waiting(connection: Connection) -> Iterator[None]:
    before = connection.exec_driver_sql("PRAGMA busy_timeout").scalar_one()
    connection.exec_driver_sql("PRAGMA busy_timeout=0")
    try:
        yield
    finally:
        connection.exec_driver_sql(f"PRAGMA busy_timeout={before}")
        connection.rollback()


def _stamp() -> str:
    return datetime.now(UTC).strftime("%Y%m%dT%H%M%S")
