"""A whole test by hand in a record: the real sitting, and a person who types what a dry bench reads."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.dry_bench import DryBench
from bench.acceptance.requests import Connect, Enter, OperatorRequest, Take
from bench.acceptance.result import TestResult
from bench.acceptance.watching import MACHINE
from bench.job.file import bench_file_in, read_job
from bench.job.profiles import example_job
from bench.records.store import Store
from bench.sitting.at_the_test import AskedTest, at_the_test

BENCH = """\
schema = 1

[[meter]]
name = "yellow"
use = "hand"
serial = "Y-17"
calibrated = "2026-01-12"
calibration_due = "2027-01"
certificate = "K 4711"
accuracy = { voltage_ac = "0.05 % + 1 count", current_ac = "0.1 % + 1 count", resistance = "0.05 % + 1 count" }
response = "true rms"

[resistor]
resistance = "1 kohm"
"""


class Gone(BaseException):
    """The program was killed."""


@dataclass
class DryHand:
    """skipped: step and reason;  stops, killed: the step at which the person stops, or the program is gone."""

    bench: DryBench | None = None
    skipped: dict[str, str] = field(default_factory=dict)
    stops: str = ""
    killed: str = ""

    def make_safe(self, request: Any) -> None:
        """Nobody is there."""

    def ask(self, request: OperatorRequest) -> Reply:
        assert self.bench is not None
        step = getattr(request, "step", "")
        if self.killed and step.startswith(self.killed):
            raise Gone
        if self.stops and step.startswith(self.stops):
            return Reply(ReplyKind.STOP, "the lamp glows")
        if isinstance(request, (Connect, Enter)) and step in self.skipped:
            return Reply(ReplyKind.SKIP, self.skipped[step])
        if isinstance(request, Enter) and request.reading_of is not None:
            self.bench.connected = request.reading_of
            reading = self.bench.answer(Take(request.step, request.quantity, None))
            shown = "OL" if reading.value is None else f"{reading.value:.6g} {reading.unit}"
            return Reply(ReplyKind.VALUE, shown)
        answer = self.bench.answer(request)
        return Reply(ReplyKind.DONE) if answer is None else Reply(ReplyKind.VALUE, str(answer))


def keep_test(
    store: Store,
    path: Path | None = None,
    hand: DryHand | None = None,
    *,
    bench: str = BENCH,
    meter: str = "yellow",
    change: Callable[[Take, Connect, float], float | None] = lambda take, connect, value: value,
    typed: dict[str, str] | None = None,
    **asked: Any,
) -> TestResult:
    """One sitting;  asked: of AskedTest besides the meter."""
    path = path or example_job("coastal-receiver")
    who = hand or DryHand()

    def observers(procedure: Any, instrument: Any) -> tuple[Any, ...]:
        who.bench = DryBench(procedure.context.expectation, change=change, typed=typed or {})
        return ()

    with ExitStack() as things:
        session = at_the_test(
            read_job(path), path, bench_file_in(bench, Path("bench.toml")), store, AskedTest((meter,), **asked),
            lambda meters: (who, MACHINE), observers, lambda words: None, things,
        )  # fmt: skip
        return session.run()
