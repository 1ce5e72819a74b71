"""What goes on beside the window is told through one bounded queue, which the window's timer empties."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable

from bench.dashboard.news import News, Progressed

__all__ = ["Mailbox", "newest_counts"]

_LENGTH = 4096


class Mailbox:
    """Any thread posts, the window's thread drains; clock [s, monotonic]."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self._queue: queue.Queue[tuple[News, float]] = queue.Queue(_LENGTH)

    def drain(self) -> list[tuple[News, float]]:
        """What came since the last call, oldest first, each with its time."""
        came = []
        for _ in range(self._queue.qsize()):
            try:
                came.append(self._queue.get_nowait())
            except queue.Empty:
                break
        return came

    def try_post(self, news: News) -> None:
        """Left out where there is no room: the next of its kind says it again."""
        try:
            self._queue.put_nowait((news, self.clock()))
        except queue.Full:
            return

    def post(self, news: News, at: float, timeout_s: float) -> bool:
        """Whether there was room within so long."""
        try:
            self._queue.put((news, at), timeout=timeout_s)
        except queue.Full:
            return False
        return True


def newest_counts(came: list[tuple[News, float]]) -> list[tuple[News, float]]:
    """Without the counts that another one follows at once: that says it anew."""
    return [
        (one, at)
        for place, (one, at) in enumerate(came)
        if not (
            isinstance(one, Progressed)
            and any(isinstance(after, Progressed) for after, _ in came[place + 1 : place + 2])
        )
    ]
