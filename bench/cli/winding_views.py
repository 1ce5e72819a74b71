"""A winding in progress on a terminal, and as JSON lines."""

from __future__ import annotations

import json
import math
import shutil
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any, TextIO

from bench.sitting.inert_text import Own, inert_text
from bench.winding.bodies import bound, event_object
from bench.winding.happenings import happening_of
from bench.winding.progress import Progress
from bench.winding.sides import WindingResult
from drivers.counting import BadLine

__all__ = ["AT_REST_AFTER", "JsonView", "TerminalView", "event_words", "interval_words"]

AT_REST_AFTER = 2.0
"""Seconds without a new count after which the spindle stands: at a speed worth showing an edge comes sooner."""


def interval_words(low: float, high: float, places: int) -> str:
    """Where an unsure count lies, for a person."""
    if math.isinf(low) or math.isinf(high):
        return "anywhere: count the turns, then start again with --from TURNS"
    return f"between {low:.{places}f} and {high:.{places}f}"


def event_words(event: Any) -> str:
    """What happened to a count, for a person; of a line that was not used its beginning, too."""
    words = happening_of(event, event.at).words
    return f"{words}: {event.raw[:60]!r}" if isinstance(event, BadLine) else words


class TerminalView:
    """One line that is written over where the terminal can, a line a whole layer or event where it can't."""

    def __init__(
        self,
        out: TextIO,
        *,
        live: bool,
        columns: Callable[[], int] = lambda: shutil.get_terminal_size().columns,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._out = out
        self._live = live
        self._columns = columns
        self._clock = clock
        self._told_bad = False
        self._said: tuple[object, ...] | None = None
        self._shown: Progress | None = None
        self._moved_at = 0.0

    def progressed(self, progress: Progress) -> None:
        before = self._shown
        if before is None or (before.turns, before.low, before.high) != (progress.turns, progress.low, progress.high):
            self._moved_at = self._clock()
        elif self._at_rest():
            progress = replace(progress, speed=0.0)
        self._shown = progress
        self._told_bad = False
        self._show(progress)

    def looked(self) -> None:
        """Nothing came for a while: a board that is silent at rest leaves its last speed behind."""
        if self._live and self._shown is not None and self._shown.speed != 0.0 and self._at_rest():
            self._shown = replace(self._shown, speed=0.0)
            self._show(self._shown)

    def _at_rest(self) -> bool:
        return self._clock() - self._moved_at >= AT_REST_AFTER

    def _show(self, progress: Progress) -> None:
        interval = "" if progress.certain else f"  {interval_words(progress.low, progress.high, 1)}"
        layer = (
            ""
            if progress.layer is None
            else f"  layer {progress.layer}/{progress.layers}, turn {progress.turn_in_layer:.0f}"
        )
        line = (
            f"{progress.winding}  {progress.turns:8.1f} of {progress.target}  to go {progress.to_go:7.1f}{layer}  "
            f"{progress.speed * 60:5.0f} rpm  {progress.standing}{interval}  {progress.next_event}"
        )
        if self._live:
            # A line that wraps can't be written over: it would fill the screen with its remains.
            self._out.write(Own(f"\r\x1b[K{inert_text(line[: self._columns() - 1])}"))
            self._out.flush()
            return
        now = (progress.layer, progress.standing, progress.certain)
        if now != self._said:
            self._said = now
            self._out.write(line + "\n")
            self._out.flush()

    def count_event(self, event: Any) -> None:
        words = event_words(event)
        if isinstance(event, BadLine):
            # With the wrong profile no line fits: once is enough until one does.
            if self._told_bad:
                return
            self._told_bad = True
        before = "\r\x1b[K" if self._live else ""
        self._out.write(Own(f"{before}   {inert_text(words)}\n"))
        self._out.flush()

    def ended(self, result: WindingResult) -> None:
        assert result.progress is not None
        before = "\r\x1b[K" if self._live else ""
        one = result.progress
        sure = "" if one.certain else f", {interval_words(one.low, one.high, 2)}"
        self._out.write(Own(f"{before}{one.winding}: {one.turns:.2f} of {one.target} turns{sure}, done\n"))


class JsonView:
    """JSON lines, one for each change."""

    def __init__(self, out: TextIO) -> None:
        self._out = out

    def progressed(self, progress: Progress) -> None:
        self._write(
            {
                "winding": progress.winding,
                "turns": progress.turns,
                "low": bound(progress.low),
                "high": bound(progress.high),
                "target": progress.target,
                "to_go": progress.to_go,
                "standing": str(progress.standing),
                "layer": progress.layer,
                "turn_in_layer": progress.turn_in_layer,
                "next": progress.next_event,
                "speed": round(progress.speed, 3),
            }
        )

    def count_event(self, event: Any) -> None:
        self._write(event_object(event))

    def ended(self, result: WindingResult) -> None:
        assert result.progress is not None
        one = result.progress
        interval = {} if one.certain else {"low": bound(one.low), "high": bound(one.high)}
        left = {"left": True} if result.left else {}
        self._write({"result": {"winding": one.winding, "turns": one.turns, **interval, "met": result.met, **left}})

    def _write(self, fields: dict[str, Any]) -> None:
        self._out.write(json.dumps({"schema": 1, **fields}) + "\n")
        self._out.flush()
