"""Whether what was shown as stored is there: asked of the command, and of the file by the standard library alone."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import subprocess
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from tests.campaigns.store.writer import Stored
from tests.warm_start import Started

__all__ = ["command", "missing", "record_of", "rows_of"]

Row = tuple[str, int, str, str, float, str, str, str]


def record_of(home: Path) -> Path:
    """Where a person whose folders are these has the record."""
    (home / "data").mkdir(parents=True, exist_ok=True)
    return home / "data" / "records.sqlite"


def command(home: Path, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """`turnproof` in a process of its own, as a person with that home runs it."""
    pipe = subprocess.PIPE
    environment = {**os.environ, "TURNPROOF_HOME": str(home)}
    with Started(*arguments, stdin=pipe, stdout=pipe, stderr=pipe, env=environment) as process:
        try:
            said, complained = process.communicate(typed, 120)
        except BaseException:
            process.kill()
            raise
        return subprocess.CompletedProcess(process.args, process.returncode, said, complained)


def rows_of(path: Path) -> list[Row]:
    """All entries, without a line of the program."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        return list(
            connection.execute(
                "SELECT job, seq, kind, at, monotonic, body, previous, hash FROM entry ORDER BY job, seq"
            )
        )


def missing(stored: Iterable[Stored], rows: Iterable[Row]) -> list[str]:
    """Those that are not there or not as they were, and what is wrong with the chains; a line each."""
    found: dict[tuple[str, int], str] = {}
    problems = []
    last: dict[str, tuple[int, str]] = {}
    for job, seq, kind, at, monotonic, body, previous, digest in rows:
        seq_before, hash_before = last.get(job, (0, "0" * 64))
        if (seq, previous) != (seq_before + 1, hash_before):
            problems.append(f"{job}: {seq} does not follow {seq_before}")
        fields = json.dumps([previous, job, seq, kind, at, repr(monotonic), body], ensure_ascii=False)
        found[job, seq] = hashlib.sha256(fields.encode()).hexdigest()
        if found[job, seq] != digest:
            problems.append(f"{job}: {seq} is not what its hash says")
        last[job] = seq, digest
    return problems + [
        f"{one.job}: {one.seq} was shown as stored and is {'altered' if (one.job, one.seq) in found else 'not there'}"
        for one in stored
        if found.get((one.job, one.seq)) != one.hash
    ]
