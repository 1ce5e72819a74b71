"""What the window says to the work at the bench: in order, from any thread."""

from __future__ import annotations

import queue
import threading

from bench.dashboard.work.bridge import Closed

__all__ = ["Orders"]

_LOOK_EVERY_S = 0.1


class Orders:
    """The window says, the work takes; after `close` whoever takes what nobody said is ended by Closed.

    What was said before is taken all the same: the window has shown it as taken.
    """

    def __init__(self) -> None:
        self._said: queue.Queue[object] = queue.Queue()
        self._closed = threading.Event()
        self._stop = ""

    def say(self, order: object) -> None:
        self._said.put(order)

    def close(self) -> None:
        self._closed.set()

    def take(self) -> object | None:
        """The next one, None where there is none."""
        try:
            return self._said.get_nowait()
        except queue.Empty:
            if self._closed.is_set():
                raise Closed from None
            return None

    def wait(self) -> object:
        """The next one, whenever it comes."""
        while True:
            try:
                return self._said.get(timeout=_LOOK_EVERY_S)
            except queue.Empty:
                if self._closed.is_set():
                    raise Closed from None

    def stop(self, reason: str) -> None:
        """The next thing that is asked is answered by a stop, whether a person would be asked for it or not."""
        self._stop = reason

    def stopped(self) -> str:
        """The reason of a stop that nobody has acted on yet, empty where there is none; told once."""
        reason, self._stop = self._stop, ""
        return reason
