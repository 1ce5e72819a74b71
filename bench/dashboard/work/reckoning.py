"""What takes longer than a frame is reckoned beside the window: a search, a plan, what the record says."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from bench.dashboard import news as told
from bench.dashboard.work.mailbox import Mailbox
from bench.dashboard.work.to_keep import ToKeep, not_kept, say_after_the_end

__all__ = ["Reckoning"]

_log = logging.getLogger(__name__)


class Reckoning:
    """One thread; of several askings under one name only the last is told.

    What must not be lost is kept in a thread of its own, one after the other, and waited for at the end.
    """

    def __init__(self, mailbox: Mailbox) -> None:
        self._mailbox = mailbox
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="reckoning")
        self._keeping = ThreadPoolExecutor(1, thread_name_prefix="keeping")
        self._asked: dict[str, int] = {}
        self._lock = threading.Lock()
        self._closed = False

    def ask(self, name: str, reckon: Callable[[], Any]) -> None:
        """Its value comes as `Reckoned`; where it raises, the reason in a line.  After the end nobody waits for it."""
        if self._closed:
            return
        with self._lock:
            number = self._asked[name] = self._asked.get(name, 0) + 1
        self._pool.submit(self._run, name, number, reckon)

    def keep(self, name: str, keep: Callable[[], Any]) -> None:
        """All of them are done, in their order; what could not be, and why, is said to the person too: on the line of
        the window, and where that is gone on standard error.

        One that comes after the end is done at once: it may be slow, and must not be lost.
        """
        if self._closed:
            self._run_keeping(name, keep)
            return
        self._keeping.submit(self._run_keeping, name, keep)

    def close(self) -> None:
        self._closed = True
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._keeping.shutdown(wait=True)

    def _run_keeping(self, name: str, keep: Callable[[], Any]) -> None:
        try:
            found = told.Reckoned(name, keep())
        except Exception as error:
            _log.warning("%s: not kept", name, exc_info=True)
            found = told.Reckoned(name, None, str(error) or type(error).__name__)
            line = not_kept(keep.words if isinstance(keep, ToKeep) else name, found.problem)
            if self._closed:
                say_after_the_end(line)
            self._mailbox.post(told.Said(line, grave=True), self._mailbox.clock(), 1.0)
        self._mailbox.post(found, self._mailbox.clock(), 1.0)

    def _run(self, name: str, number: int, reckon: Callable[[], Any]) -> None:
        if self._is_old(name, number):
            return
        try:
            found = told.Reckoned(name, reckon())
        except Exception as error:
            _log.info("%s can't be reckoned", name, exc_info=True)
            found = told.Reckoned(name, None, str(error) or type(error).__name__)
        if not self._is_old(name, number):
            self._mailbox.post(found, self._mailbox.clock(), 1.0)

    def _is_old(self, name: str, number: int) -> bool:
        with self._lock:
            return self._asked.get(name) != number
