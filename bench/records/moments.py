"""Moments of the record as a person reads them: UTC, and said to be, wherever the bench and its reader are."""

from __future__ import annotations

__all__ = ["day", "minute", "second"]


def day(at: str) -> str:
    """The date of a moment in ISO 8601, UTC: `2026-11-26 UTC`."""
    return f"{at[:10]} UTC"


def minute(at: str) -> str:
    """Date and time to the minute: `2026-11-26 09:41 UTC`."""
    return f"{at[:16].replace('T', ' ')} UTC"


def second(at: str) -> str:
    """Date and time to the second: `2026-11-26 09:41:07 UTC`."""
    return f"{at[:19].replace('T', ' ')} UTC"
