"""The derived tables that a search reads."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, Dialect, Float, Index, Integer, MetaData, Table, Text
from sqlalchemy.schema import CreateIndex, CreateTable

__all__ = [
    "INDEX_VERSION",
    "OF_A_JOB",
    "faults",
    "instruments",
    "jobs",
    "metadata",
    "state",
    "statements",
    "tests",
    "uses",
]

INDEX_VERSION = 1
"""Of what the tables mean: those of another version are derived anew."""
metadata = MetaData()

state = Table(
    "find_state",
    metadata,
    Column("one", Integer, primary_key=True, autoincrement=False),
    Column("version", Integer, nullable=False),
    Column("upto", BigInteger, nullable=False),
    Column("hash", Text, nullable=False),
)
"""One row: entries up to the id `upto`, which has that hash, are in the tables."""
jobs = Table(
    "find_job",
    metadata,
    Column("job", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("equipment", Text, nullable=False),
    Column("owner", Text, nullable=False),
    Column("file", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("first_at", Text, nullable=False),
    Column("last_at", Text, nullable=False),
    Column("last_kind", Text, nullable=False),
    Column("entries", Integer, nullable=False),
    Column("tests", Integer, nullable=False),
    Column("verdict", Text, nullable=False),
    Column("tested_at", Text, nullable=False),
)
"""words: all of its identity in small letters;  verdict, tested_at: of the last finished test, empty where none was."""
tests = Table(
    "find_test",
    metadata,
    Column("job", Text, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("begun_at", Text, nullable=False),
    Column("ended_at", Text, nullable=False),
    Column("procedure", Text, nullable=False),
    Column("verdict", Text, nullable=False),
)
"""ended_at, verdict: of its last result, empty where it came to none."""
faults = Table(
    "find_fault",
    metadata,
    Column("job", Text, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("fault", Text, primary_key=True),
    Column("winding", Text, primary_key=True),
    Column("probability", Float, nullable=False),
    Column("at", Text, nullable=False),
)
"""What a test named;  number: of the test."""
instruments = Table(
    "find_instrument",
    metadata,
    Column("key", Text, primary_key=True),
    Column("words", Text, primary_key=True),
)
"""key: its serial number, else its identity, else its name;  words: all that was ever said of it, in small letters."""
uses = Table(
    "find_use",
    metadata,
    Column("job", Text, primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("at", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("key", Text, nullable=False),
)
"""Each entry that tells of an instrument."""
OF_A_JOB = (jobs, tests, faults, uses)

# Searched words stand in the index of the order in which jobs are shown, so that no row is fetched in vain.
Index("find_job_last", jobs.c.last_at, jobs.c.job, jobs.c.words, jobs.c.verdict)
Index("find_job_verdict", jobs.c.verdict, jobs.c.last_at, jobs.c.job, jobs.c.words)
Index("find_fault_named", faults.c.fault, faults.c.at, faults.c.probability, faults.c.job)
Index("find_fault_in", faults.c.job, faults.c.fault, faults.c.at, faults.c.probability)
Index("find_use_of", uses.c.key, uses.c.at, uses.c.job)
Index("find_use_in", uses.c.job, uses.c.key, uses.c.at)


def statements(dialect: Dialect) -> tuple[str, ...]:
    """What makes the tables, in a database of that dialect."""
    found = []
    for table in metadata.sorted_tables:
        found.append(str(CreateTable(table, if_not_exists=True).compile(dialect=dialect)))
        indexes = sorted(table.indexes, key=lambda one: str(one.name))
        found += [str(CreateIndex(one, if_not_exists=True).compile(dialect=dialect)) for one in indexes]
    return tuple(found)
