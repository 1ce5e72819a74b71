"""Another program holds the record, as one that looks into databases does: shorter and longer than is waited for it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.campaigns.store.judging import command, missing, record_of, rows_of
from tests.campaigns.store.killed import UNFINISHED
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import writing
from tests.cli.running import JOB, rehearsal
from tests.warm_start import Started

__all__ = ["held_by_another"]

WAITS = "another program holds the record: waited for up to a minute"
_HOLD = """
import sqlite3, sys, time
connection = sqlite3.connect(sys.argv[1], isolation_level=None, timeout=30)
connection.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
time.sleep(float(sys.argv[2]))
connection.execute("ROLLBACK")
"""


@contextmanager
def holding(path: Path, seconds: float) -> Iterator[None]:
    with subprocess.Popen([sys.executable, "-c", _HOLD, str(path), str(seconds)], stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        holder.stdout.readline()
        try:
            yield
        finally:
            holder.wait()


def held_by_another(times: int, seed: int, *, too_long: bool) -> Outcome:
    """A writer and a winding wait; nothing is lost.  too_long: also for more than a minute, after which it ends."""
    outcome = Outcome("record locked by another program")
    for number in range(times):
        with tempfile.TemporaryDirectory() as folder:
            home = Path(folder)
            with writing(record_of(home), seed + number, seconds=12.0) as writer:
                writer.wait_for_first()
                with holding(record_of(home), 7.0):
                    pass
                writer.wait()
                told = "\n".join(one.words for one in writer.told)
            outcome.tries += 1
            outcome.stored += len(writer.stored)
            outcome.judge_words(f"writer {number}", told, (WAITS,), due=True)
            outcome.judge_opening(home, f"writer {number}", (UNFINISHED,), by_command=True)
            outcome.lost += missing(writer.stored, rows_of(record_of(home)))
            longest = max(one.took for one in writer.stored)
            if longest < 6.0:
                outcome.unclear.append(f"writer {number}: nothing waited for longer than {longest:.1f} s")
    _while_winding(outcome, 9.0, 0)
    if too_long:
        _while_winding(outcome, 75.0, 4)
    return outcome


def _while_winding(outcome: Outcome, seconds: float, status: int) -> None:
    """40 turns while it is held; the count goes on behind it, or the next go takes it up."""
    where = f"winding, held for {seconds:g} s"
    with tempfile.TemporaryDirectory() as folder, rehearsal() as (ports, control):
        home = Path(folder)
        arguments = ("wind", JOB, "primary", "--counter", ports["counter"], "--target", "40", "--json", "--rest", "1")
        environment = {**os.environ, "TURNPROOF_HOME": folder, "PYTHONUNBUFFERED": "1"}
        pipe = subprocess.PIPE
        with Started(*arguments, stdin=pipe, stdout=pipe, stderr=pipe, env=environment) as winding:
            assert winding.stdout is not None
            said = [winding.stdout.readline()]
            with holding(record_of(home), seconds):
                control.do("spindle", by=40, rpm=600.0)
                rest = threading.Thread(target=lambda: said.extend(winding.stdout or ()))
                rest.start()
                time.sleep(min(seconds, 70.0))
            rest.join(60)
            winding.wait(60)
            complained = winding.stderr.read() if winding.stderr else ""
        outcome.tries += 1
        lines = [line for line in complained.splitlines() if "record" in line]
        expected = (WAITS,) if status == 0 else ("not stored: database is locked; another program holds the record",)
        outcome.judge_words(where, "\n".join(lines[-1:]), expected, due=True)
        if winding.returncode != status:
            outcome.unclear.append(f"{where}: ended with {winding.returncode}, expected {status}; {complained[:200]}")
        if status:
            again = command(home, *arguments)
            said += again.stdout.splitlines()
        shown = [one for one in map(json.loads, said) if "turns" in one]
        outcome.stored += len(shown)
        if not shown or abs(shown[-1]["turns"] - 40.0) > 0.01:
            outcome.lost.append(f"{where}: {shown[-1] if shown else said} at the end, expected 40 turns")
        kept = {json.loads(row[5]).get("turns") for row in rows_of(record_of(home)) if row[2] == "count"}
        outcome.lost += [
            f"{where}: {one['turns']} were shown" for one in shown if one["turns"] and one["turns"] not in kept
        ]
