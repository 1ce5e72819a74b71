"""A counter: a link and a form of line that together give a count which survives both."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import TracebackType
from typing import Protocol, Self

from drivers.counter_profile import CounterProfile
from drivers.countline import Hello, decoder_for
from drivers.errors import LinkLost
from drivers.joiner import (
    BadLine,
    Bounded,
    Bridged,
    Broken,
    Corrected,
    Count,
    CountJoiner,
    JoinerEvent,
)

__all__ = [
    "BadLine",
    "Bounded",
    "Bridged",
    "Broken",
    "Corrected",
    "Count",
    "Counter",
    "CounterEvent",
    "LinkCameBack",
    "LinkWentAway",
]

_log = logging.getLogger(__name__)
_ASK_EVERY_S = 2.0
_ASK_MOST = 3
_CAUGHT_UP = 2048  # a reading of fewer bytes left nothing behind in the system's buffer (4 kB)


@dataclass(frozen=True, slots=True)
class LinkWentAway:
    """The port was lost; the counter looks for it with each poll."""

    why: str
    at: float


@dataclass(frozen=True, slots=True)
class LinkCameBack:
    """The port is open again."""

    away_s: float
    at: float


CounterEvent = JoinerEvent | LinkWentAway | LinkCameBack


class _Line(Protocol):
    @property
    def is_open(self) -> bool: ...
    def open(self) -> None: ...
    def close(self) -> None: ...
    def send(self, data: bytes) -> None: ...
    def receive(self, timeout_s: float) -> bytes: ...
    def reopen(self, within_s: float = 0.0) -> None: ...


class Counter:
    """Poll it; it gives counts and tells what happened to them. One owner; opens and closes its link."""

    def __init__(
        self,
        link: _Line,
        profile: CounterProfile,
        *,
        joiner: CountJoiner | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.profile = profile
        self._link = link
        self._joiner = joiner or CountJoiner(profile)
        self._decoder = decoder_for(profile)
        self._clock = clock
        self._hello: Hello | None = None
        self._caught_up_at = 0.0
        self._asked = 0
        self._ask_next = 0.0
        self._away_since: float | None = None

    @property
    def count(self) -> Count | None:
        """The last count; None before the first line."""
        return self._joiner.count

    @property
    def identity(self) -> str | None:
        """What the board says of itself, where it says something."""
        return self._hello.raw if self._hello is not None else None

    def open(self) -> None:
        """Open the line; raises PortMissing, PortDenied, PortBusy or LinkLost. Later losses never raise."""
        self._link.open()
        self._begin()
        self._ask_identity()

    def close(self) -> None:
        """Close the line; never raises. The board goes on counting."""
        self._link.close()

    def poll(self, timeout_s: float) -> list[CounterEvent]:
        """What came within `timeout_s`, in order; returns as soon as something did.

        A lost port is told once, looked for with back-off inside this call, and told again when back.
        """
        if self._away_since is not None:
            return self._look_for_it(timeout_s)
        try:
            if self._hello is None and self._clock() >= self._ask_next:
                self._ask_identity()
            data = self._link.receive(timeout_s)
        except LinkLost as lost:
            _log.warning("%s", lost)
            self._away_since = self._clock()
            return [LinkWentAway(str(lost), self._away_since)]
        return self._take(data)

    def set_count(self, turns: float, reason: str) -> Corrected:
        """A person says where the coil stands; the count is exact again from here."""
        return self._joiner.set_count(turns, reason, self._clock())

    def snapshot(self) -> dict[str, object] | None:
        """A JSON-able dictionary to go on from after this program ended; None before the first line."""
        return self._joiner.snapshot()

    def restore(self, saved: Mapping[str, object]) -> None:
        """Go on from a snapshot, before the first poll; raises ValueError for what is none."""
        self._joiner.restore(saved)

    def __enter__(self) -> Self:
        self.open()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _take(self, data: bytes) -> list[CounterEvent]:
        at = self._clock()
        events: list[CounterEvent] = []
        for decoded in self._decoder.feed(data):
            if isinstance(decoded, Hello):
                self._hello = decoded
            events += self._joiner.feed(decoded, at, self._caught_up_at)
        if len(data) < _CAUGHT_UP:
            self._caught_up_at = at
        return events

    def _look_for_it(self, timeout_s: float) -> list[CounterEvent]:
        try:
            self._link.reopen(timeout_s)
        except LinkLost:
            return []
        now = self._clock()
        away = now - self._away_since if self._away_since is not None else 0.0
        self._away_since = None
        self._joiner.link_back()
        self._begin()
        return [LinkCameBack(away, now)]

    def _begin(self) -> None:
        self._decoder.restart()
        self._caught_up_at = self._clock()
        # the board may have been exchanged for one with another number of sensors
        self._asked = 0
        self._ask_next = self._clock()
        self._hello = None

    def _ask_identity(self) -> None:
        if self.profile.identify is None or self._asked >= _ASK_MOST:
            return
        self._asked += 1
        self._ask_next = self._clock() + _ASK_EVERY_S
        self._link.send(self.profile.identify.encode("ascii", "replace") + b"\n")
