"""SIGKILL at a random instant: of a program that stores as fast as it can, and of a winding that is counted."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from bench.operators.rehearsal import ControlPort
from tests.campaigns.store.judging import command, missing, record_of, rows_of
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import Stored, writing
from tests.cli.running import JOB, rehearsal
from tests.warm_start import Started

__all__ = ["killed_while_winding", "killed_while_writing"]

_KILLS_OF_A_RECORD = 20
_LONGEST_S = 0.2
UNFINISHED = "a program ended while it stored an entry"


def killed_while_writing(times: int, seed: int) -> Outcome:
    """Each record is gone on with after every kill."""
    outcome = Outcome("killed (SIGKILL) while it writes")
    rng = random.Random(seed)
    for first in range(0, times, _KILLS_OF_A_RECORD):
        with tempfile.TemporaryDirectory() as folder:
            home, stored = Path(folder), list[Stored]()
            for number in range(first, min(times, first + _KILLS_OF_A_RECORD)):
                stored += _one_kill(record_of(home), rng, number, outcome)
                _look(home, stored, number, outcome)
            outcome.stored += len(stored)
    return outcome


def _one_kill(path: Path, rng: random.Random, number: int, outcome: Outcome) -> list[Stored]:
    with writing(path, number) as writer:
        if rng.random() < 0.9:  # else while it opens the record
            writer.wait_for_first()
        time.sleep(rng.uniform(0.0, _LONGEST_S))
        writer.kill()
        outcome.tries += 1
        outcome.said += len(writer.told)
        outcome.unclear += [f"kill {number}: {one.words}" for one in writer.told if UNFINISHED not in one.words]
        return writer.stored


def _look(home: Path, stored: list[Stored], number: int, outcome: Outcome) -> None:
    path, where = record_of(home), f"kill {number}"
    if not path.exists():
        return
    outcome.judge_opening(home, where, (UNFINISHED,), by_command=number % 10 == 0)
    outcome.lost += [f"{where}: {line}" for line in missing(stored, rows_of(path))]


def killed_while_winding(times: int, seed: int) -> Outcome:
    """`turnproof wind` on the rehearsal's counter, gone on with after each kill; what it showed is in the record."""
    outcome = Outcome("the same of `turnproof wind`")
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder, rehearsal() as (ports, control):
        home = Path(folder)
        environment = {**os.environ, "TURNPROOF_HOME": folder, "PYTHONUNBUFFERED": "1"}
        arguments = ("wind", JOB, "primary", "--counter", ports["counter"], "--target", "100000", "--json")
        shown: list[float] = []
        for number in range(times):
            winding = Started(
                *arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment
            )
            shown += _wound_until_killed(winding, control, rng, outcome, f"kill {number}")
            outcome.tries += 1
            kept = {json.loads(row[5]).get("turns") for row in rows_of(record_of(home)) if row[2] == "count"}
            outcome.lost += [f"kill {number}: {turns} turns were shown" for turns in shown if turns not in kept]
        outcome.stored = len(shown)
        verified = command(home, "record", "verify")
        if verified.returncode != 0:
            outcome.lost.append(f"verify: {verified.stderr[:200]}")
    return outcome


def _wound_until_killed(
    winding: subprocess.Popen[str], control: ControlPort, rng: random.Random, outcome: Outcome, where: str
) -> list[float]:
    assert winding.stdout is not None
    shown: list[float] = []
    with winding:
        lines: list[dict[str, Any]] = []
        while not any("turns" in one for one in lines):
            line = winding.stdout.readline()
            if not line:
                break
            lines.append(json.loads(line))
        control.do("spindle", by=rng.uniform(5.0, 40.0), rpm=rng.uniform(300.0, 1500.0))
        time.sleep(rng.uniform(0.0, 1.0))
        winding.kill()
        said, complained = winding.communicate()
        for text in said.splitlines():
            try:
                lines.append(json.loads(text))
            except ValueError:
                continue  # the line in which it was killed
        shown = [one["turns"] for one in lines if "turns" in one and one["turns"] != 0.0]
    for line in complained.splitlines():
        if UNFINISHED in line:
            outcome.said += 1
        elif "going on from" not in line:
            outcome.unclear.append(f"{where}: {line}")
    return shown


if __name__ == "__main__":
    print(killed_while_winding(int(sys.argv[1]), 0))
