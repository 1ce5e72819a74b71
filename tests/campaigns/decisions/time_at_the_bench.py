"""The time that passes at a rehearsed bench while leads are moved and meters settle; nobody waits for it."""

from __future__ import annotations

__all__ = ["BenchTime"]


class BenchTime:
    """Seconds since the test began."""

    def __init__(self) -> None:
        self.now = 0.0

    def pass_by(self, seconds: float) -> float:
        """Let time pass; gives the time then."""
        self.now += seconds
        return self.now
