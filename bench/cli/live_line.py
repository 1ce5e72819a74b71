"""What a meter shows while it settles: one line that is written over, or JSON lines, neither too often."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from typing import TextIO

from bench.quantities import show
from bench.sitting.inert_text import Own, inert_text
from drivers.reading import Quantity

__all__ = ["LiveLine"]

_EVERY_S = 0.2
_WIDE = 110


class LiveLine:
    """On a terminal a line that is written over, in a pipe what is said anew, or `settling` objects in JSON."""

    def __init__(self, out: TextIO, *, as_json: bool, clock: Callable[[], float] = time.monotonic) -> None:
        self._out, self._json, self._clock = out, as_json, clock
        self._last: tuple[str, str] | None = None
        self._at = float("-inf")
        self._open = False
        self._unit = ""

    def reads(self, quantity: Quantity) -> None:
        """What is shown from now on."""
        self._unit = quantity.unit

    def show(self, step: str, value: float | None, words: str) -> None:
        """value [SI], None for overload or no value; what has changed in words is shown at once, a number seldom."""
        advice = words.partition(":")[0]
        changed = (step, advice) != self._last
        if not changed and self._clock() - self._at < _EVERY_S:
            return
        self._at = self._clock()
        first, self._last = changed, (step, advice)
        if self._json:
            told = {"step": step, "value": value, "unit": self._unit, "state": words}
            self._write(json.dumps({"schema": 1, "settling": told}) + "\n")
        elif self._out.isatty():
            self._open = True
            shown = "" if value is None else f"{show(value, self._unit, 5)}  "
            self._write(Own(f"\r{inert_text(f'    {step}: {shown}{words}'[:_WIDE]):<{_WIDE}}"))
        elif first and words not in ("settling", "settled", "standing still"):
            self._write(f"    {step}: {words}\n")

    def end(self) -> None:
        """The reading is there: the line is left clean for it."""
        if self._open:
            self._write(Own(f"\r{'':<{_WIDE}}\r"))
            self._open = False
        self._last = None

    def _write(self, text: str) -> None:
        self._out.write(text)
        self._out.flush()
