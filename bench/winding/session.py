"""Runs a winding: counts in, kept, then shown; it ends when the count rests at the target."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from typing import Any, Protocol

from bench.job.winding import Winding
from bench.winding.progress import Progress, Standing, progress_of
from drivers.counting import Count

__all__ = [
    "CountSource",
    "KeepCount",
    "WindingObserver",
    "WindingResult",
    "WindingSession",
    "bound",
    "event_object",
]

KeepCount = Callable[[str, dict[str, Any]], None]
"""Stores one thing under a kind (`count`, `count event`) before it is shown."""


class CountSource(Protocol):
    """What a session needs of a counter."""

    def poll(self, timeout_s: float) -> Sequence[Any]: ...

    def snapshot(self) -> dict[str, object] | None: ...


class WindingObserver(Protocol):
    """A view on a winding in progress."""

    def progressed(self, progress: Progress) -> None: ...

    def count_event(self, event: Any) -> None: ...


class WindingResult:
    """How a winding ended: the last progress, None when no line ever came, and whether the target was met."""

    def __init__(self, progress: Progress | None) -> None:
        self.progress = progress

    @property
    def met(self) -> bool:
        return self.progress is not None and self.progress.standing is Standing.AT_TARGET


class WindingSession:
    """One winding from the first line to its target.

    rest: seconds that the count must stand at the target, which the winder may overrun and come back to.
    """

    def __init__(
        self,
        winding: Winding,
        target: int,
        source: CountSource,
        keep: KeepCount,
        observers: tuple[WindingObserver, ...] = (),
        *,
        rest: float = 3.0,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._winding = winding
        self._target = target
        self._source = source
        self._keep = keep
        self._observers = observers
        self._rest = rest
        self._clock = clock
        self._progress: Progress | None = None
        self._still_since: float | None = None

    def run(self, ended: Callable[[], bool] = lambda: False) -> WindingResult:
        """Poll until the count rests at the target or `ended` says so."""
        while not self.turn_over() and not ended():
            pass
        return WindingResult(self._progress)

    def turn_over(self) -> bool:
        """One poll: keep and show what came; True when the count has rested at the target."""
        counts = []
        for event in self._source.poll(0.05):
            if isinstance(event, Count):
                counts.append(event)
            else:
                self._keep("count event", {"winding": self._winding.name, **event_object(event)})
                for observer in self._observers:
                    observer.count_event(event)
        if counts:
            self._advance(counts[-1])
        return self._rested()

    def _advance(self, count: Count) -> None:
        """Of the lines that came together only the last is kept as an entry; the wire log has every one."""
        progress = progress_of(self._winding, self._target, count)
        before = self._progress
        moved = before is None or (before.turns, before.low, before.high) != (count.turns, count.low, count.high)
        if moved:
            self._keep(
                "count",
                {
                    "winding": self._winding.name,
                    "turns": count.turns,
                    "low": bound(count.low),
                    "high": bound(count.high),
                    "speed": round(count.speed, 4),
                    "raw": count.raw,
                    "counter": self._source.snapshot(),
                },
            )
            self._still_since = self._clock()
        self._progress = progress
        for observer in self._observers:
            observer.progressed(progress)

    def _rested(self) -> bool:
        if self._progress is None or self._still_since is None or self._progress.standing is not Standing.AT_TARGET:
            return False
        return self._clock() - self._still_since >= self._rest


def bound(turns: float) -> float | None:
    """A bound of the count as it is stored and printed: None where the count is broken and nothing bounds it."""
    return turns if math.isfinite(turns) else None


def event_object(event: Any) -> dict[str, Any]:
    """A counter's event as it is stored and printed."""
    fields = {name: getattr(event, name) for name in event.__slots__ if name != "at"}
    return {"event": type(event).__name__, **{key: _plain(value) for key, value in fields.items()}}


def _plain(value: Any) -> Any:
    return value if isinstance(value, (str, int, float, bool, type(None))) else str(value)
