"""Several programs at once: on one job, on jobs of their own, and two that want to wind for the same job."""

from __future__ import annotations

import os
import subprocess
import tempfile
from contextlib import ExitStack
from pathlib import Path

from tests.campaigns.store.judging import command, missing, record_of, rows_of
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import writing
from tests.cli.running import JOB
from tests.warm_start import Started

__all__ = ["two_programs"]

HELD = "is held by process"


def two_programs(times: int, seed: int, *, seconds: float = 3.0) -> Outcome:
    """Two, three or four write as fast as they can; none may starve."""
    outcome = Outcome("two to four programs at once")
    longest, least = 0.0, 1.0
    for number in range(times):
        with tempfile.TemporaryDirectory() as folder, ExitStack() as things:
            path = record_of(Path(folder))
            many = 2 + number % 3
            jobs = [("J-1",) if number % 2 else ("J-1", f"J-1{who}") for who in range(many)]
            writers = [
                things.enter_context(writing(path, seed + 10 * number + who, jobs=jobs[who], seconds=seconds))
                for who in range(many)
            ]
            for writer in writers:
                writer.wait()
            stored = [one for writer in writers for one in writer.stored]
            outcome.tries += 1
            outcome.stored += len(stored)
            for writer in writers:
                outcome.judge_words(f"run {number}", "\n".join(one.words for one in writer.told), ())
            outcome.judge_opening(Path(folder), f"run {number}", (), by_command=True)
            outcome.lost += [f"run {number}: {line}" for line in missing(stored, rows_of(path))]
            longest = max([longest, *(one.took for one in stored)])
            least = min([least, *(len(writer.stored) * many / len(stored) for writer in writers)])
    outcome.note = f"longest wait {longest:.1f} s, least share {least:.0%} of an even one"
    if longest > 5.0 or least < 0.1:
        outcome.unclear.append(f"one starved: {outcome.note}")
    _same_job(outcome)
    return outcome


def _same_job(outcome: Outcome) -> None:
    with tempfile.TemporaryDirectory() as folder:
        arguments = ("wind", JOB, "heater", "--counter", "hand")
        pipe = subprocess.PIPE
        environment = {**os.environ, "TURNPROOF_HOME": folder, "PYTHONUNBUFFERED": "1"}
        with Started(*arguments, stdin=pipe, stdout=pipe, stderr=pipe, env=environment) as first:
            assert first.stdin is not None
            assert first.stdout is not None
            first.stdin.write("5\n")
            first.stdin.flush()
            first.stdout.readline()
            second = command(Path(folder), *arguments, typed="7\n")
            outcome.tries += 1
            outcome.judge_words("second program on the job", second.stderr, (HELD,), due=True)
            if second.returncode != 4:
                outcome.unclear.append(f"second program on the job: ended with {second.returncode}, expected 4")
            first.communicate("q\n", 60)
        again = command(Path(folder), *arguments, typed="q\n")
        outcome.stored += 1
        if "5 of 19 turns" not in again.stderr:
            outcome.lost.append(f"5 turns were shown, the next go says {again.stderr[:200]}")
