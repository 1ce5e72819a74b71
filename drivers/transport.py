"""What a link needs from whatever carries its bytes."""

from __future__ import annotations

from typing import Protocol

__all__ = ["NOT_TAKEN", "Transport"]

NOT_TAKEN = "it takes nothing that is sent"
"""What the TimeoutError of a write says."""


class Transport(Protocol):
    """An open line; every trouble after opening is an OSError."""

    def read(self, timeout_s: float) -> bytes:
        """All that has arrived, waiting for the first byte at most so long; b"" when none came."""

    def write(self, data: bytes) -> None:
        """Send all of it before the write deadline; else a TimeoutError."""

    def close(self) -> None:
        """Let go of the line; never raises, never hangs."""
