"""Meets an unknown meter at a port: asks what the search wants asked, and hands back what came."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Protocol

from drivers.errors import Unsupported
from drivers.finding_dialect import DialectSearch
from drivers.finding_frame import Ask
from drivers.line_settings import LineSettings
from drivers.met import Met, NotMet

__all__ = ["TunableLine", "meet"]

_MOST_BYTES = 8192
_POLL_S = 0.25


class TunableLine(Protocol):
    """What is needed of a link: an open line whose frame can be changed."""

    def retune(self, settings: LineSettings) -> None: ...
    def send(self, data: bytes) -> None: ...
    def receive(self, timeout_s: float) -> bytes: ...


def meet(
    line: TunableLine,
    search: DialectSearch,
    *,
    clock: Callable[[], float] = time.monotonic,
    progress: Callable[[str], None] = lambda _: None,
) -> Met | NotMet:
    """Drive the search to its end on an open line; raises LinkLost. `progress` gets each step once, in words."""
    said = ""
    while search.ask is not None:
        ask = search.ask
        if ask.why != said:
            said = ask.why
            progress(said)
        try:
            line.retune(ask.frame)
        except Unsupported:
            search.refuse_frame(clock())
            continue
        search.feed(_exchange(line, ask, clock), clock())
    return search.found


def _exchange(line: TunableLine, ask: Ask, clock: Callable[[], float]) -> bytes:
    """Send, then collect until the line is quiet again, within the bounds of `ask`."""
    if ask.data:
        _drop_old(line)
        line.send(ask.data)
    begun = clock()
    last = begun
    came = b""
    while len(came) < _MOST_BYTES:
        now = clock()
        until = min(begun + ask.most_s, last + ask.quiet_s if came else begun + ask.first_s)
        if now >= until:
            break
        data = line.receive(min(until - now, _POLL_S))
        if data:
            came += data
            last = clock()
    return came


def _drop_old(line: TunableLine) -> None:
    """What came before the question is no answer to it; a meter that never stops does not hold us up."""
    dropped = 0
    while dropped < _MOST_BYTES:
        old = line.receive(0.0)
        if not old:
            return
        dropped += len(old)
