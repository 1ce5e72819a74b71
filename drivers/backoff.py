"""When to try a lost line again: soon at first, then more and more seldom."""

from __future__ import annotations

__all__ = ["BackOff"]


class BackOff:
    """Pauses that double from `first_s` to `most_s`; time is passed in."""

    def __init__(self, first_s: float = 0.05, most_s: float = 2.0) -> None:
        self._first_s = first_s
        self._most_s = most_s
        self._pause_s = first_s
        self._due = float("-inf")

    def wait(self, now: float) -> float:
        """Seconds until the next try is due, 0 when it is."""
        return max(0.0, self._due - now)

    def failed(self, now: float) -> None:
        """A try came to nothing."""
        self._due = now + self._pause_s
        self._pause_s = min(self._pause_s * 2, self._most_s)

    def succeeded(self) -> None:
        """The line works."""
        self._pause_s = self._first_s
        self._due = float("-inf")
