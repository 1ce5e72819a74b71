"""The demo on a terminal: what happens, then the table."""

from __future__ import annotations

from typing import Any, TextIO

from bench.acceptance.procedure import Procedure
from bench.acceptance.report import report
from bench.acceptance.requests import Request
from bench.acceptance.result import StepResult, TestResult
from bench.acceptance.suspicion import Suspicion
from bench.cli.winding_views import event_words
from bench.demo.run import DemoResult
from bench.job.model import Job
from bench.quantities import show
from bench.whole_test import sentences
from bench.winding.progress import Progress
from drivers.reading import Reading

__all__ = ["TextView"]


class TextView:
    """Prints as the demo goes; `quiet` keeps it to the verdict."""

    def __init__(self, out: TextIO, *, quiet: bool) -> None:
        self._out = out
        self._quiet = quiet
        self._layer: int | None = None
        self._steps = 0

    def begun(self, job: Job, winding: str) -> None:
        supply = ""
        if job.made_for is not None and job.supply is not None:
            supply = f", made for {show(job.made_for.voltage, 'V', 3)} {job.made_for.frequency:g} Hz"
            supply += f", to run on {show(job.supply.voltage, 'V', 3)} {job.supply.frequency:g} Hz"
        self._say(f"{job.identity.name}{supply}")
        self._say(f"Winding {winding}:")

    def progressed(self, progress: Progress) -> None:
        if progress.layer != self._layer:
            self._layer = progress.layer
            self._say(
                f"  {progress.turns:6.1f} of {progress.target} turns, layer {progress.layer} of {progress.layers}"
            )

    def count_event(self, event: Any) -> None:
        self._say(f"  {event_words(event)}")

    def test_begun(self, procedure: Procedure) -> None:
        self._say(f"Acceptance test, {len(procedure.plan())} steps in the order of least risk:")

    def instrument(self, name: str, health: str) -> None:
        self._say(f"  {name}: {health}")

    def asked(self, request: Request) -> None:
        """The hand does what is asked."""

    def settling(self, step: str, value: float | None, state_words: str) -> None:
        """Nobody's hands are at these leads."""

    def reading_taken(self, step: str, reading: Reading) -> None:
        """The judged steps say enough here."""

    def step_done(self, result: StepResult) -> None:
        """They stand in the table at the end."""

    def suspected(self, suspicions: tuple[Suspicion, ...], words: tuple[str, ...]) -> None:
        for one in words:
            self._say(f"  {one}")

    def finished(self, result: TestResult) -> None:
        """The table is printed by `told`."""

    def told(self, result: DemoResult) -> None:
        """Everything, when it is over."""
        if self._quiet:
            self._out.write(f"{result.test.verdict}\n")
            return
        if result.winding is not None and result.winding.progress is not None:
            progress = result.winding.progress
            sure = "exactly" if progress.certain else f"between {progress.low:.2f} and {progress.high:.2f}"
            self._say(
                f"Counted {progress.turns:.2f} of {progress.target} turns, {sure}, although {', '.join(result.acts)}."
            )
        self._say("")
        self._say(report(result.test, sentences(result.test)))
        faults = result.truth.get("faults") or []
        if faults:
            self._say(f"Put in, and not told to the tool: {', '.join(str(f) for f in faults)}")
        self._say(f"Record: {result.record} (head {result.head[:16]}), certificate: {result.certificate}")

    def _say(self, line: str) -> None:
        if not self._quiet:
            self._out.write(line + "\n")
            self._out.flush()
