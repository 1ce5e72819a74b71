"""What a winding session stands between, a counter, the record and views, with the result that it hands back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Protocol

from bench.winding.progress import Progress, Standing
from drivers.counting import Count

__all__ = ["CommandedSource", "CountSource", "KeepCount", "WindingObserver", "WindingResult"]

KeepCount = Callable[[str, dict[str, Any]], None]
"""Stores one thing under a kind (`count`, `count event`) before it is shown."""


class CountSource(Protocol):
    """What a session needs of a counter."""

    def poll(self, timeout_s: float) -> Sequence[Any]: ...

    def snapshot(self) -> dict[str, object] | None: ...


class CommandedSource(CountSource, Protocol):
    """What a person's words need of it beyond that."""

    @property
    def count(self) -> Count | None: ...

    @property
    def doubtful(self) -> float: ...

    def set_count(self, turns: float, reason: str) -> Any: ...

    def leave_out(self, turns: float) -> None: ...

    def turn_sense(self) -> None: ...

    def wound_back(self, turns: float) -> None: ...


class WindingObserver(Protocol):
    """A view on a winding in progress."""

    def progressed(self, progress: Progress) -> None: ...

    def count_event(self, event: Any) -> None: ...


class WindingResult:
    """How a winding ended: the last progress, None when no line ever came, and whether the target was met; left: it was
    not ended, and goes on another time."""

    def __init__(self, progress: Progress | None, *, left: bool = False) -> None:
        self.progress = progress
        self.left = left

    @property
    def met(self) -> bool:
        return not self.left and self.progress is not None and self.progress.standing is Standing.AT_TARGET
