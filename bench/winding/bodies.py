"""Counts and what happened to them, as they are stored and printed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from drivers.counting import Count

__all__ = ["bound", "event_object", "interval"]


def interval(count: Count) -> dict[str, Any]:
    return {"turns": count.turns, "low": bound(count.low), "high": bound(count.high)}


def bound(turns: float) -> float | None:
    """A bound of the count as it is stored and printed: None where the count is broken and nothing bounds it."""
    return turns if math.isfinite(turns) else None


def event_object(event: Any) -> dict[str, Any]:
    """A counter's event as it is stored and printed."""
    fields = {name: getattr(event, name) for name in event.__slots__ if name != "at"}
    return {"event": type(event).__name__, **{key: _plain(value) for key, value in fields.items()}}


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value if isinstance(value, (str, int, float, bool, type(None))) else str(value)
