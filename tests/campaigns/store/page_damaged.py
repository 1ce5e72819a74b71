"""Bytes of the record's file that are no longer what was written: found, named, and the rest can still be read."""

from __future__ import annotations

import random
import sqlite3
import tempfile
from collections import Counter
from contextlib import closing
from pathlib import Path

from tests.campaigns.store.judging import command, missing, record_of
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import JOBS, Stored, writing

__all__ = ["page_damaged"]

NAMED = (
    "was altered", "is missing", "does not follow the entry before it", "can't be read any more", "the file is damaged",
    "which of its entries are damaged can't be told",
)  # fmt: skip
WHOLE_FILE = ("can't be read: ", "can't be opened: ")


def page_damaged(times: int, seed: int) -> Outcome:
    """Of a byte up to a page, anywhere; the newest lines are taken away, or they would be a second truth."""
    outcome = Outcome("page damaged")
    rng = random.Random(seed)
    came: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        path = record_of(home)
        with writing(path, seed, most=300) as writer:
            writer.wait()
            stored = writer.stored
        good = path.read_bytes()
        for number in range(times):
            for other in path.parent.iterdir():
                other.unlink()
            length = rng.choice((1, 16, 512, 4096))
            place = rng.randrange(len(good) - length)
            damage = rng.randbytes(length) if rng.random() < 0.7 else bytes(length)
            path.write_bytes(good[:place] + damage + good[place + length :])
            came[_judge(home, stored, f"damage {number}", outcome)] += 1
            outcome.tries += 1
            outcome.stored += len(stored)
    outcome.note = ", ".join(f"{what} {count}" for what, count in came.most_common())
    return outcome


def _judge(home: Path, stored: list[Stored], where: str, outcome: Outcome) -> str:
    """What it came to."""
    path = record_of(home)
    whole = {job: not _problems(path, stored, job) for job in JOBS}
    found = command(home, "record", "verify")
    lines = found.stderr.splitlines()
    if "Traceback" in found.stderr or "turnproof failed" in found.stderr:
        outcome.unclear.append(f"{where}: {found.stderr[:300]}")
    if all(whole.values()):
        # what was hit holds no entry; whether the database's own check sees it is another matter
        if found.returncode == 1 or (found.returncode and len(lines) != 1):
            outcome.unclear.append(f"{where}: all entries are whole, and verify says {found.stderr[:300]}")
        return "no entry hit"
    if found.returncode == 0:
        outcome.lost.append(f"{where}: verify finds nothing, hit are {[job for job in JOBS if not whole[job]]}")
    elif found.returncode == 1:
        strange = [line for line in lines if not any(words in line for words in (*NAMED, *WHOLE_FILE))]
        outcome.unclear += [f"{where}: {line[:300]}" for line in strange]
        for job in JOBS:
            if (
                whole[job]
                and f"{job}: {sum(one.job == job for one in stored)} entries, chain whole" not in found.stdout
            ):
                outcome.lost.append(f"{where}: {job} is whole, and verify does not say so")
    elif len(lines) != 1 or not any(words in lines[0] for words in WHOLE_FILE):
        outcome.unclear.append(f"{where}: {found.stderr[:300]}")
    outcome.said += bool(lines)
    return {0: "not found", 1: "named"}.get(found.returncode, "whole file refused")


def _problems(path: Path, stored: list[Stored], job: str) -> list[str]:
    """Of one job, by the standard library: with its index or without one, as anybody could read it."""
    of_job = [one for one in stored if one.job == job]
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)) as connection:
            columns = "job, seq, kind, at, monotonic, body, previous, hash"
            rows = connection.execute(f"SELECT {columns} FROM entry WHERE job = ? ORDER BY seq", (job,)).fetchall()
        return missing(of_job, rows)
    except (sqlite3.Error, TypeError, UnicodeDecodeError) as problem:
        return [str(problem)]
