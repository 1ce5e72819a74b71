"""The simulated clock: how much time has passed at the bench."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["BenchClock"]


class BenchClock:
    """Simulated seconds since the start; they pass `speed` times faster than those of `monotonic`."""

    def __init__(self, monotonic: Callable[[], float], speed: float = 1.0) -> None:
        self._monotonic = monotonic
        self._start = monotonic()
        self.speed = speed

    def now(self) -> float:
        """Simulated time [s]."""
        return (self._monotonic() - self._start) * self.speed
