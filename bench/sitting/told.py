"""What a person is to know of the record, whichever part of the program opened it: command and window both show it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager

__all__ = ["TOLD", "told_to"]

TOLD = logging.getLogger("turnproof.record")
"""A warning here is a whole line for the person at the bench."""


@contextmanager
def told_to(tell: Callable[[str], None]) -> Iterator[None]:
    """Meanwhile its lines go there, from whichever thread, and nowhere else on the screen; the log has them as well.

    The same line once only: a window opens the record again and again.
    """
    before = TOLD.handlers[:]
    for handler in before:
        TOLD.removeHandler(handler)
    mine = _Teller(tell)
    TOLD.addHandler(mine)
    try:
        yield
    finally:
        TOLD.removeHandler(mine)
        for handler in before:
            TOLD.addHandler(handler)


class _Teller(logging.Handler):
    def __init__(self, tell: Callable[[str], None]) -> None:
        super().__init__(logging.WARNING)
        self._tell = tell
        self._last = ""

    def emit(self, record: logging.LogRecord) -> None:
        words = record.getMessage()
        if words != self._last:
            self._last = words
            self._tell(words)
