"""The tables of a records server, and what keeps them append-only.

`kept` holds every entry of every bench by its hash.  A job that was gone on with at two benches at once, each without
the entries of the other, has more than one course: course 0 came first.  The view `entry` is course 0 of each job and
has the columns of a bench's own record, so that the same queries read both.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Float,
    Identity,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from bench.records.problem import RecordProblem

__all__ = ["SERVER_VERSION", "contents", "kept", "prepare_server", "take_turn"]

SERVER_VERSION = 1
_metadata = MetaData()
kept = Table(
    "kept",
    _metadata,
    Column("id", BigInteger, Identity(always=True), primary_key=True),
    Column("hash", Text, nullable=False, unique=True),
    Column("job", Text, nullable=False),
    Column("course", Integer, nullable=False),
    Column("seq", Integer, nullable=False),
    Column("kind", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("monotonic", Float(53), nullable=False),
    Column("body", Text, nullable=False),
    Column("previous", Text, nullable=False),
    Column("bench", Text, nullable=False),
    UniqueConstraint("job", "course", "seq"),
)
contents = Table(
    "content",
    _metadata,
    Column("sha256", Text, primary_key=True),
    Column("bytes", LargeBinary, nullable=False),
)
_TURN = 0x7475726E
"""Key of the lock under which entries are added; whoever reads by `id` then sees no gap that is filled later."""
_REFUSES = """
CREATE OR REPLACE FUNCTION turnproof_refuses() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'the record is append-only'; END $$
"""
_GUARD = (
    "CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON {} "
    "FOR EACH STATEMENT EXECUTE FUNCTION turnproof_refuses()"
)
_VIEW = """
CREATE OR REPLACE VIEW entry AS
SELECT id, job, seq, kind, at, monotonic, body, previous, hash FROM kept WHERE course = 0
"""


def prepare_server(connection: Connection, where: str) -> None:
    """Make the tables where there are none.  Raises RecordProblem for those of a newer program, and for a database
    that can't keep every sign."""
    encoding = connection.execute(text("SHOW server_encoding")).scalar_one()
    if encoding != "UTF8":
        raise RecordProblem(f"{where}: a database in {encoding}, expected one in UTF8 (createdb -E UTF8 -T template0)")
    found = _version(connection)
    if found is None:
        take_turn(connection)
        found = _version(connection)  # another bench may have been first
    if found is None:
        _metadata.create_all(connection)
        for statement in (
            _REFUSES,
            *(_GUARD.format(one) for one in ("kept", "content")),
            "CREATE INDEX kept_kind ON kept (job, kind, seq) WHERE course = 0",
            _VIEW,
            f"CREATE TABLE turnproof_version AS SELECT {SERVER_VERSION} AS version",
        ):
            connection.execute(text(statement))
        found = SERVER_VERSION
    connection.commit()
    if found > SERVER_VERSION:
        raise RecordProblem(f"{where}: record version {found} is newer than this program, expected {SERVER_VERSION}")


def take_turn(connection: Connection) -> None:
    """Whoever adds does so alone until the transaction ends."""
    connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _TURN})


_THERE = """
SELECT EXISTS (
  SELECT 1 FROM pg_catalog.pg_tables WHERE schemaname = current_schema() AND tablename = 'turnproof_version'
)
"""
"""Not `to_regclass`, which may go on saying no in the transaction in which it said so once."""


def _version(connection: Connection) -> int | None:
    there = connection.execute(text(_THERE)).scalar_one()
    return int(connection.execute(text("SELECT version FROM turnproof_version")).scalar_one()) if there else None
