"""A record that may not be written: the file, its folder or both, with and without a log beside it, and one of the
first version.  It is read, nothing is kept, and neither leaves a file behind."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

from bench.records.log_end import log_of
from tests.campaigns.store.judging import missing, record_of, rows_of
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import Stored, writing
from tests.cli.running import JOB

__all__ = ["not_writable", "one_not_writable"]

READ = "read as it stands, nothing can be stored"
REFUSED = "not stored: "
_WITHOUT_POWERS = ["setpriv", "--bounding-set=-all", "--inh-caps=-all"]
"""For root alone, whom permissions don't bind: it keeps its name and loses what goes past them."""


def not_writable(seed: int) -> Outcome:
    """Each by the commands that look, and by one that wants to keep something."""
    outcome = Outcome("file or folder read-only")
    for killed in (False, True):
        for version in (2, 1):
            for what in ("file", "folder", "both"):
                outcome.add(one_not_writable(what, killed=killed, version=version, seed=seed))
    return outcome


def one_not_writable(what: str, *, killed: bool, version: int, seed: int) -> Outcome:
    """what: `file`, `folder` or `both` are read-only;  killed: whoever had it left a log beside it."""
    outcome = Outcome("file or folder read-only")
    with tempfile.TemporaryDirectory() as folder:
        _one(Path(folder), what, killed, version, seed, outcome)
    return outcome


def _one(home: Path, what: str, killed: bool, version: int, seed: int, outcome: Outcome) -> None:
    where = f"{what}, {'with' if killed else 'without'} a log, version {version}"
    path = record_of(home)
    stored = _made(path, killed, seed)
    if version == 1:
        _as_first_version(path)
    for name in ("log", "locks", "config"):
        (home / name).mkdir()
    files = [path, *(each for each in (log_of(path),) if each.exists())]
    if what in ("file", "both"):
        for file in files:
            file.chmod(0o444)
    if what in ("folder", "both"):
        path.parent.chmod(0o555)
    before = _sizes(path.parent)
    # log and index are there already and may be written: nothing has to be made in the folder
    goes_on = what == "folder" and killed and version == 2
    outcome.tries += 1
    outcome.stored += len(stored)
    newest = ("record", stored[-1].job, "--json")  # all of it: another may have been stored and not been shown any more
    for arguments in (("record", "verify"), newest):
        looked = _without_powers(home, *arguments)
        if goes_on:
            outcome.judge_words(f"{where}, {arguments}", looked.stderr, ())
        else:
            outcome.judge_words(f"{where}, {arguments}", looked.stderr, (READ,), due=True)
        if looked.returncode or "Traceback" in looked.stderr:
            outcome.lost.append(f"{where}: {arguments} ended with {looked.returncode}")
        if arguments is newest and f'"{stored[-1].hash}"' not in looked.stdout:
            outcome.lost.append(f"{where}: the newest entry was not shown")
    if not goes_on:
        _refuses(home, where, outcome)
        if _sizes(path.parent) != before:
            outcome.lost.append(f"{where}: the folder is not as it was")
    path.parent.chmod(0o755)
    for file in files:
        file.chmod(0o644)
    outcome.lost += [f"{where}: {line}" for line in missing(stored, rows_of(path))]


def _refuses(home: Path, where: str, outcome: Outcome) -> None:
    wound = _without_powers(home, "wind", JOB, "heater", "--counter", "hand", typed="5\n")
    outcome.judge_words(f"{where}, wind", wound.stderr, (REFUSED,), due=True)
    if wound.returncode != 4:
        outcome.unclear.append(f"{where}: wind ended with {wound.returncode}, expected 4")


def _sizes(folder: Path) -> dict[Path, tuple[int, int]]:
    return {file: (file.stat().st_size, file.stat().st_mtime_ns) for file in folder.iterdir()}


def _made(path: Path, killed: bool, seed: int) -> list[Stored]:
    with writing(path, seed, most=40) as writer:
        if killed:
            writer.wait_for_first()
            writer.kill()
        else:
            writer.wait()
        return writer.stored


def _as_first_version(path: Path) -> None:
    """What the second added is taken off; what stood in the log stays there."""
    with closing(sqlite3.connect(path)) as keeps_the_log:
        keeps_the_log.execute("SELECT count(*) FROM entry").fetchone()
        logged = log_of(path).exists() and log_of(path).stat().st_size > 0
        with closing(sqlite3.connect(path)) as connection:
            connection.execute("DROP INDEX entry_kind")
            connection.execute("PRAGMA user_version = 1")
        if not logged:
            keeps_the_log.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _without_powers(home: Path, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    before = _WITHOUT_POWERS if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return subprocess.run(
        [*before, sys.executable, "-m", "bench", *arguments], input=typed, capture_output=True, text=True, check=False,
        timeout=120, env={**os.environ, "TURNPROOF_HOME": str(home)},
    )  # fmt: skip
