"""Words looked for by an index of their parts where the database has one; elsewhere rows are looked at in order.

SQLite's own full text search with tokens of three letters finds any part of a word (sqlite.org/fts5.html, 4.3.5).
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, column, select, table, text
from sqlalchemy.exc import OperationalError

__all__ = ["few_rows_with", "forget_words", "has_words", "keep_words", "make_words"]

FEW = 500
"""Jobs that are worth being gathered first: where more fit, a page of the newest is full before long."""
_LEAST = 3
_words = table("find_words", column("rowid"), column("words"))


def make_words(connection: Connection) -> None:
    """Make it over the jobs that are there; nothing on a database or a build of SQLite that has none."""
    if connection.dialect.name != "sqlite" or has_words(connection):
        return
    try:
        connection.execute(text("CREATE VIRTUAL TABLE find_words USING fts5(words, tokenize='trigram', detail='none')"))
    except OperationalError as error:
        if "no such" not in str(error) and "error in tokenizer constructor" not in str(error):
            raise
        return
    connection.execute(text("INSERT INTO find_words (rowid, words) SELECT rowid, words FROM find_job"))


def has_words(connection: Connection) -> bool:
    if connection.dialect.name != "sqlite":
        return False
    return connection.execute(text("SELECT 1 FROM sqlite_master WHERE name = 'find_words'")).first() is not None


def forget_words(connection: Connection, jobs: Sequence[str]) -> None:
    """Before their rows go."""
    for job in jobs:
        where = "rowid = (SELECT rowid FROM find_job WHERE job = :job)"
        connection.execute(text(f"DELETE FROM find_words WHERE {where}"), {"job": job})


def keep_words(connection: Connection, jobs: Sequence[str]) -> None:
    """After their rows came."""
    add = text("INSERT INTO find_words (rowid, words) SELECT rowid, words FROM find_job WHERE job = :job")
    connection.execute(add, [{"job": job} for job in jobs])


def few_rows_with(connection: Connection, parts: Sequence[str]) -> list[int] | None:
    """rowid of each job whose words hold all parts; None where they are many, or where nothing tells them quickly."""
    long_enough = [one for one in parts if len(one) >= _LEAST]
    if not long_enough or len(long_enough) < len(parts) or any(set("%_") & set(one) for one in parts):
        return None
    if not has_words(connection):
        return None
    wanted = [_words.c.words.like(f"%{one}%") for one in sorted(long_enough, key=len, reverse=True)]
    rows = connection.execute(select(_words.c.rowid).where(*wanted).limit(FEW + 1)).all()
    return None if len(rows) > FEW else [row.rowid for row in rows]
