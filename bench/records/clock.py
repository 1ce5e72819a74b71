"""A clock that was set back: entries stand in the order in which they were kept, and where times do not it is said."""

from __future__ import annotations

from datetime import datetime, timedelta

__all__ = ["behind_words", "set_back", "span_words"]

_LEAST = timedelta(minutes=2)
"""Less is a clock that was put right."""


def set_back(before: str, at: str) -> timedelta | None:
    """By how much, between two entries of which the first was kept first; None where it was not.  Both ISO 8601."""
    try:
        by = datetime.fromisoformat(before) - datetime.fromisoformat(at)
    except (ValueError, TypeError):
        return None
    return by if by >= _LEAST else None


def behind_words(newest: str, now: datetime) -> str:
    """What there is to say where this computer's clock is before the newest entry; empty where it is not."""
    by = set_back(newest, now.isoformat())
    if by is None:
        return ""
    return (
        f"this computer's clock says {now:%Y-%m-%d %H:%M} UTC, the newest entry {newest[:16].replace('T', ' ')} UTC, "
        f"{span_words(by)} later: one of them is wrong; entries stay in the order in which they are kept"
    )


def span_words(by: timedelta) -> str:
    """Roughly."""
    minutes = round(by.total_seconds() / 60)
    if minutes < 120:
        return f"{minutes} minutes"
    return f"{minutes // 60} hours" if minutes < 48 * 60 else f"{minutes // (24 * 60)} days"
