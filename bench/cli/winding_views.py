"""A winding in progress on a terminal, and as JSON lines."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Callable
from typing import Any, TextIO

from bench.dashboard.happenings import happening_of
from bench.winding.progress import Progress
from bench.winding.session import WindingResult, bound, event_object
from drivers.counting import BadLine

__all__ = ["JsonView", "TerminalView", "event_words", "interval_words"]


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
    ) -> None:
        self._out = out
        self._live = live
        self._columns = columns
        self._told_bad = False
        self._said: tuple[object, ...] | None = None

    def progressed(self, progress: Progress) -> None:
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
        self._told_bad = False
        if self._live:
            # A line that wraps can't be written over: it would fill the screen with its remains.
            self._out.write(f"\r\x1b[K{line[: self._columns() - 1]}")
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
        self._out.write(f"{before}   {words}\n")
        self._out.flush()

    def ended(self, result: WindingResult) -> None:
        assert result.progress is not None
        before = "\r\x1b[K" if self._live else ""
        self._out.write(
            f"{before}{result.progress.winding}: {result.progress.turns:.2f} of {result.progress.target} turns, done\n"
        )


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
        self._write({"result": {"winding": result.progress.winding, "turns": result.progress.turns, "met": result.met}})

    def _write(self, fields: dict[str, Any]) -> None:
        self._out.write(json.dumps({"schema": 1, **fields}) + "\n")
        self._out.flush()
