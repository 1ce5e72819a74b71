"""What is found wrong with the record when a work opens it, on the window's own line."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from bench.sitting.told import TOLD

__all__ = ["record_told"]


@contextmanager
def record_told(overhear: Callable[[str], None]) -> Iterator[None]:
    """overhear: takes a line, from whichever thread."""
    handler = _Overheard(overhear)
    TOLD.addHandler(handler)
    try:
        yield
    finally:
        TOLD.removeHandler(handler)


class _Overheard(logging.Handler):
    def __init__(self, overhear: Callable[[str], None]) -> None:
        super().__init__(logging.WARNING)
        self._overhear = overhear

    def emit(self, record: logging.LogRecord) -> None:
        self._overhear(record.getMessage())
