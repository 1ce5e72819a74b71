"""A running test on a terminal, and as JSON lines."""

from __future__ import annotations

import json
import re
from typing import TextIO

from bench.acceptance.report import step_line
from bench.acceptance.requests import Request, Take
from bench.acceptance.result import StepResult
from bench.acceptance.session import reading_object
from bench.acceptance.suspicion import Suspicion
from bench.cli.live_line import LiveLine
from bench.quantities import show
from drivers.reading import Reading

__all__ = ["JsonView", "TerminalView"]

_WORTH_A_LINE = 0.05


class TerminalView:
    """Readings and judged steps as they come."""

    def __init__(self, out: TextIO) -> None:
        self._out = out
        self._live = LiveLine(out, as_json=False)

    def asked(self, request: Request) -> None:
        """The operator shows what is asked."""
        if isinstance(request, Take):
            self._live.reads(request.quantity)

    def settling(self, step: str, value: float | None, state_words: str) -> None:
        self._live.show(step, value, state_words)

    def reading_taken(self, step: str, reading: Reading) -> None:
        self._live.end()
        value = str(reading.state) if reading.value is None else show(reading.value, reading.unit, _digits(reading.raw))
        self._out.write(f"    {step}: {reading.quantity} {value}\n")
        self._out.flush()

    def step_done(self, result: StepResult) -> None:
        self._out.write(f"  {step_line(result)}\n")
        self._out.flush()

    def suspected(self, suspicions: tuple[Suspicion, ...], words: tuple[str, ...]) -> None:
        for one in words:
            self._out.write(f"  -> {one}\n")
        self._out.flush()


def _digits(raw: str) -> int:
    """Of a reading on the screen: as many as it came with, five at most."""
    found = re.search(r"[0-9][0-9.,]*", raw)
    told = re.sub(r"[.,]", "", found[0]).lstrip("0") if found else ""
    return min(5, len(told) or 5)


class JsonView:
    """JSON lines: `settling`, `reading`, `step_result` and `findings_so_far`."""

    def __init__(self, out: TextIO) -> None:
        self._out = out
        self._live = LiveLine(out, as_json=True)

    def asked(self, request: Request) -> None:
        """The operator's asks are a stream of their own."""
        if isinstance(request, Take):
            self._live.reads(request.quantity)

    def settling(self, step: str, value: float | None, state_words: str) -> None:
        self._live.show(step, value, state_words)

    def reading_taken(self, step: str, reading: Reading) -> None:
        self._live.end()
        self._write({"reading": {"step": step, **reading_object(reading)}})

    def step_done(self, result: StepResult) -> None:
        self._write({"step_result": result.as_json()})

    def suspected(self, suspicions: tuple[Suspicion, ...], words: tuple[str, ...]) -> None:
        told = [one.as_json() for one in suspicions if one.probability >= _WORTH_A_LINE]
        self._write({"findings_so_far": told})

    def _write(self, fields: dict[str, object]) -> None:
        self._out.write(json.dumps({"schema": 1, **fields}) + "\n")
        self._out.flush()
