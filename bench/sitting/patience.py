"""Says once that nothing was heard from a counter, for a while or at all; never ends a winding by itself."""

from __future__ import annotations

import time
from collections.abc import Callable

__all__ = ["Patience"]

_FIRST_LINE_S = 5.0
_SILENT_S = 3.0


class Patience:
    """counter: its name;  talks_at_rest: whether silence means anything."""

    def __init__(self, counter: str, tell: Callable[[str], None], talks_at_rest: bool) -> None:
        self._counter = counter
        self._tell = tell
        self._talks_at_rest = talks_at_rest
        self._since = time.monotonic()
        self._heard = 0
        self._told = False

    def listening(self, line_is_open: bool, heard: int) -> None:
        """heard: counts so far."""
        if heard != self._heard or (not line_is_open and self._heard):
            self._since, self._heard, self._told = time.monotonic(), heard, False

    def looked(self) -> None:
        if self._told or time.monotonic() - self._since < (_FIRST_LINE_S if not self._heard else _SILENT_S):
            return
        if not self._heard:
            self._told = True
            self._tell(f"{self._counter}: no line yet; is the board powered, does the profile match it?")
        elif self._talks_at_rest:
            self._told = True
            self._tell(
                f"{self._counter}: silent for {_SILENT_S:.0f} s: is the board powered? The count shown is its last"
            )
