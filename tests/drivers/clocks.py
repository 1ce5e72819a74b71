"""Time that passes only when somebody waits."""

from __future__ import annotations


class VirtualClock:
    """A monotonic clock for tests: `sleep` is the only thing that moves it."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.now += max(0.0, seconds)
