"""What the window says to the work at the bench: in order, from any thread."""

from __future__ import annotations

import queue
import threading

from bench.dashboard.work.bridge import Closed

__all__ = ["Orders"]

_LOOK_EVERY_S = 0.1


class Orders:
    """The window says, the work takes; after `close` whoever takes is ended by Closed."""

    def __init__(self) -> None:
        self._said: queue.Queue[object] = queue.Queue()
        self._closed = threading.Event()

    def say(self, order: object) -> None:
        self._said.put(order)

    def close(self) -> None:
        self._closed.set()

    def take(self) -> object | None:
        """The next one, None where there is none."""
        if self._closed.is_set():
            raise Closed
        try:
            return self._said.get_nowait()
        except queue.Empty:
            return None

    def wait(self) -> object:
        """The next one, whenever it comes."""
        while True:
            if self._closed.is_set():
                raise Closed
            try:
                return self._said.get(timeout=_LOOK_EVERY_S)
            except queue.Empty:
                continue
