"""The computer's clock goes back by an hour or a year: entries keep their order, and it is said."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bench.job.file import read_job
from bench.records.entry import Kind
from bench.records.store import Store
from tests.campaigns.store.judging import command, missing, record_of, rows_of
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import writing
from tests.cli.running import JOB

__all__ = ["clock_back"]

BEHIND = "this computer's clock says"
_STEPS = (timedelta(hours=1), timedelta(days=1), timedelta(days=365))


def clock_back(seed: int, *, steps: int = len(_STEPS)) -> Outcome:
    """By each step, in the middle of a record that is gone on with, and between a test and the varnish."""
    outcome = Outcome("clock set back")
    for step in _STEPS[:steps]:
        with tempfile.TemporaryDirectory() as folder:
            _gone_on_with(Path(folder), step, seed, outcome)
        with tempfile.TemporaryDirectory() as folder:
            _varnished(Path(folder), step, outcome)
    return outcome


def _gone_on_with(home: Path, step: timedelta, seed: int, outcome: Outcome) -> None:
    path, where = record_of(home), f"back by {step}"
    stored = []
    for back in (0.0, step.total_seconds(), 0.0):
        with writing(path, seed, most=30, jobs=("J-1",), clock_back=back) as writer:
            writer.wait()
            stored += writer.stored
            outcome.judge_words(where, "\n".join(one.words for one in writer.told), (BEHIND,), due=back > 0)
    outcome.tries += 1
    outcome.stored += len(stored)
    outcome.lost += [f"{where}: {line}" for line in missing(stored, rows_of(path))]
    shown = command(home, "record", "J-1", "--all").stdout.splitlines()
    told = [line for line in shown if "the clock was set back by" in line]
    numbers = [int(line.split()[0]) for line in shown if line.split()[0].isdigit()]
    if len(told) != 1 or numbers != sorted(numbers) or len(numbers) != len(stored):
        outcome.unclear.append(f"{where}: the record shows {told} and {len(numbers)} entries")
    outcome.judge_opening(home, where, (), by_command=True)


def _varnished(home: Path, step: timedelta, outcome: Outcome) -> None:
    """What is tested next goes by what was kept last, not by its date."""
    number, now = read_job(Path(JOB)).identity.number, datetime.now(UTC)
    with Store(record_of(home), utcnow=lambda: now) as store:
        store.append(number, Kind.TEST_BEGUN, {"procedure": "before-varnish"})
        store.append(number, Kind.RESULT, {"verdict": "accepted", "steps": [], "findings": [], "not_done": []})
    with Store(record_of(home), utcnow=lambda: now - step) as store:
        kept = store.append(number, Kind.VARNISH, {"part": "begun", "varnish": "polyester"})
    outcome.tries += 1
    outcome.stored += 3
    planned = command(home, "test", JOB, "--plan")
    outcome.judge_words(f"varnished {step} back, test --plan", planned.stderr, ())
    if "after" not in planned.stdout.splitlines()[0] or kept.seq != 3:
        outcome.lost.append(f"varnished {step} back: what is planned is {planned.stdout.splitlines()[0]}")
