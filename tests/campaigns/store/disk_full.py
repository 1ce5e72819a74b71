"""A disk that gets full: of the record, of a photograph that is attached, of the counter's lines."""

from __future__ import annotations

import os
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tests.campaigns.store.judging import command, missing, record_of, rows_of
from tests.campaigns.store.killed import UNFINISHED
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import writing
from tests.cli.running import JOB, rehearsal
from tests.warm_start import Started

__all__ = ["disk_full", "file_limited"]

FULL = "not stored: database or disk is full; free some space"
ONLY_READ = "read as it stands, nothing can be stored"
LIMITED = "not stored: disk I/O error"
_BALLAST = 600_000


@contextmanager
def small_disk(megabytes: float) -> Iterator[Path]:
    """A file system of its own; where none may be mounted, RuntimeError says so."""
    with tempfile.TemporaryDirectory() as folder:
        size = f"size={round(megabytes * 1e6)}"
        mounted = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", size, "tmpfs", folder], check=False, capture_output=True, text=True
        )
        if mounted.returncode:
            raise RuntimeError(f"no small disk can be made here, only root may mount: {mounted.stderr.strip()}")
        try:
            yield Path(folder)
        finally:
            subprocess.run(["umount", folder], check=True)


def disk_full(times: int, seed: int) -> Outcome:
    """Full while entries are stored; still full, it is looked at, and a photograph and a count are tried; then there is
    room again."""
    outcome = Outcome("disk full")
    for number in range(times):
        with small_disk(2.0 + number % 7 / 3) as disk, tempfile.TemporaryDirectory() as elsewhere:
            where = f"disk {number}"
            ballast = disk / "ballast"
            ballast.write_bytes(bytes(_BALLAST))
            path = record_of(disk)
            with writing(path, seed + number) as writer:
                writer.wait()
                stored, told = writer.stored, [one.words for one in writer.told]
            outcome.tries += 1
            outcome.judge_words(where, "\n".join(told), (FULL,), due=True)
            with suppress(OSError), (disk / "the rest").open("wb", buffering=0) as rest:
                while rest.write(bytes(512)):
                    pass
            _while_full(disk, Path(elsewhere), where, outcome)
            ballast.unlink()
            (disk / "the rest").unlink()
            with writing(path, seed + number, most=50) as writer:
                writer.wait()
                stored += writer.stored
                # what was begun when the disk was full stands in the log, and is no more than that
                told = [one.words for one in writer.told if UNFINISHED not in one.words]
            outcome.judge_words(f"{where}, with room again", "\n".join(told), ())
            outcome.judge_opening(disk, f"{where}, at the end", (UNFINISHED,), by_command=True)
            outcome.lost += [f"{where}: {line}" for line in missing(stored, rows_of(path))]
            if len(stored) < 60:
                outcome.unclear.append(f"{where}: {len(stored)} were stored, expected 50 with room again")
            outcome.stored += len(stored)
    _wire_log(outcome)
    return outcome


def _while_full(disk: Path, elsewhere: Path, where: str, outcome: Outcome) -> None:
    looked = command(disk, "record", "verify")
    outcome.judge_words(f"{where}, verify", looked.stderr, (ONLY_READ, UNFINISHED))
    if looked.returncode:
        outcome.unclear.append(f"{where}: verify on the full disk ended with {looked.returncode}")
    picture = elsewhere / "core.jpg"
    picture.write_bytes(os.urandom(200_000))
    for arguments, typed in (
        (("survey", JOB, "--photo", str(picture)), ""),
        (("wind", JOB, "heater", "--counter", "hand"), "5\n"),
    ):
        tried = command(disk, *arguments, typed=typed)
        # beside it the first that can look into the log may say that the entry that found no room is not kept
        lines = [line for line in tried.stderr.splitlines() if UNFINISHED not in line]
        outcome.judge_words(f"{where}, {arguments[0]}", "\n".join(lines), ("full", "No space left"), due=True)
        if tried.returncode != 4:
            outcome.unclear.append(f"{where}: {arguments[0]} ended with {tried.returncode}, expected 4")


def _wire_log(outcome: Outcome) -> None:
    """The record has room, the counter's lines have none: the count goes on, and it is said once."""
    with small_disk(0.05) as disk, tempfile.TemporaryDirectory() as home, rehearsal() as (ports, control):
        with suppress(OSError), (disk / "ballast").open("wb", buffering=0) as rest:
            while rest.write(bytes(512)):
                pass
        arguments = (
            "wind",
            JOB,
            "heater",
            "--counter",
            ports["counter"],
            "--no-checks",
            "--target",
            "21",
            "--rest",
            "1",
        )
        with Started(
            *arguments, "--wire-log", str(disk / "lines.jsonl"), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT, env={**os.environ, "TURNPROOF_HOME": home, "PYTHONUNBUFFERED": "1"},
        ) as winding:  # fmt: skip
            assert winding.stdout is not None
            said = [winding.stdout.readline()]
            control.do("spindle", by=21, rpm=300.0)
            said += [one for one in winding.stdout]
        outcome.tries += 1
        told = [line for line in said if "can't be kept any more" in line]
        if len(told) != 1 or winding.returncode:
            outcome.unclear.append(f"counter's lines: {winding.returncode}, {''.join(said)[:400]}")
        outcome.said += bool(told)


def file_limited(times: int, seed: int) -> Outcome:
    """No file may grow any more (`ulimit -f`), which the system tells otherwise than a full disk."""
    outcome = Outcome("no file may grow further")
    for number in range(times):
        with tempfile.TemporaryDirectory() as folder:
            home = Path(folder)
            with writing(record_of(home), seed + number, largest_file=200_000 + 50_000 * number) as writer:
                writer.wait()
                stored, told = writer.stored, "\n".join(one.words for one in writer.told)
            outcome.tries += 1
            outcome.judge_words(f"limit {number}", told, (LIMITED, FULL), due=True)
            outcome.judge_opening(home, f"limit {number}", (UNFINISHED,), by_command=True)
            outcome.lost += [f"limit {number}: {line}" for line in missing(stored, rows_of(record_of(home)))]
            outcome.stored += len(stored)
    return outcome
