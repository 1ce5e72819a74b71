"""Joins framed lines to one count, whatever was lost, doubled or damaged between them."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass

from drivers.counter_profile import CounterProfile
from drivers.counting import BadLine, Bridged, Count, JoinerEvent
from drivers.countline import HallLine, Hello
from drivers.position import Position
from drivers.reversal import ReversalWatch, watch_for

__all__ = ["HallJoiner"]

_MS_WRAP = 1 << 30
_REMEMBERED = 256
_BEHIND_MOST = 3  # so many lines in a row that go back in number are no echo: the board began anew
_CLOCK_SLACK_S = 0.05
_BOARD_CLOCK_S = 0.002  # the board counts milliseconds


@dataclass(frozen=True, slots=True)
class _Arrived:
    """A line that came between `earliest` and `at`, monotonic s."""

    line: HallLine
    earliest: float
    at: float


class HallJoiner:
    """The board's count is absolute within one start of the board; only a new start loses turns."""

    def __init__(self, profile: CounterProfile) -> None:
        self._profile = profile
        self.position = Position(profile.max_speed, watch_for(profile, _BOARD_CLOCK_S))
        self._last: _Arrived | None = None
        self._held: _Arrived | None = None
        self._behind: list[_Arrived] = []
        self._seen: OrderedDict[int, tuple[int, int]] = OrderedDict()
        self._seconds = 0.0
        self._preset: float | None = None

    def feed(self, line: HallLine, earliest: float, at: float) -> list[JoinerEvent]:
        arrived = _Arrived(line, earliest, at)
        held, self._held = self._held, None
        if held is not None:
            if self._follows(held.line, line):
                return self._confirmed(held) + self.feed(line, earliest, at)
            return [_unused(held, "does not fit what came before and after"), *self.feed(line, earliest, at)]
        last = self._last
        if last is None:
            return self._first(arrived)
        if line.boot != last.line.boot:
            self._held = arrived
            return []
        if line.line <= last.line.line or _ms_between(last.line, line) > _MS_WRAP // 2:
            return self._goes_back(arrived)
        self._behind.clear()
        if not self._follows(last.line, line):
            self._held = arrived
            return []
        return self._forward(last, arrived)

    def hello(self, hello: Hello) -> list[JoinerEvent]:
        """The board says how many sensors it has; two tell the direction, also of what was counted before."""
        if hello.sensors == 2:
            self.position.watch = None
        elif self.position.watch is None:
            self.position.watch = ReversalWatch(self._profile.max_acceleration, self._profile.max_speed, _BOARD_CLOCK_S)
            if self._last is not None:
                self.position.watch.distrust(self._last.line.edges)
        return []

    def set_count(self, turns: float) -> None:
        if self._last is None:
            self._preset = turns
        else:
            self.position.set(turns, self._last.line.edges, self._last.line.per)

    def count_now(self) -> Count | None:
        if self._last is None:
            return None
        line = self._last.line
        return self.position.count(line.edges, line.per, self._last.at, line.raw)

    def snapshot(self) -> dict[str, object] | None:
        if self._last is None:
            return None
        return {**self.position.snapshot(), "last": list(self._last.line)}

    def restore(self, saved: Mapping[str, object]) -> None:
        """Raises ValueError for what `snapshot` can't have given."""
        match saved.get("last"):
            case [int(boot), int(line), int(ms), int(edges), int(per), str(raw)] if per > 0:
                last = HallLine(boot, line, ms, edges, per, raw)
            case other:
                raise ValueError(f"a saved count holds the line {other!r}, expected a framed line's fields")
        if saved.get("sensors") == 2:
            self.position.watch = None
        self.position.restore(saved)
        if self.position.watch is not None and self.position.watch.doubtful_from is None:
            # edges that came while nobody looked may have been either way
            self.position.watch.distrust(edges)
        self._last = _Arrived(last, -math.inf, -math.inf)
        self._seen.clear()

    # -- one line ----------------------------------------------------------------------------------

    def _first(self, arrived: _Arrived) -> list[JoinerEvent]:
        if self._preset is not None:
            self.position.set(self._preset, arrived.line.edges, arrived.line.per)
            self._preset = None
        return self._accept(arrived)

    def _forward(self, last: _Arrived, arrived: _Arrived) -> list[JoinerEvent]:
        line = arrived.line
        self._seconds += _ms_between(last.line, line) / 1000.0
        missing = line.line - last.line.line - 1
        events: list[JoinerEvent] = []
        if missing:
            why = "lines were lost, the board's own count went on"
            events.append(Bridged(missing, why, arrived.at, line.raw))
        return events + self._accept(arrived)

    def _accept(self, arrived: _Arrived) -> list[JoinerEvent]:
        line = arrived.line
        self._last = arrived
        self._seen[line.line] = (line.ms, line.edges)
        if len(self._seen) > _REMEMBERED:
            self._seen.popitem(last=False)
        self.position.look(self._seconds, line.edges, line.per)
        news = self.position.reversal_news(line.edges, line.per, arrived.at, line.raw)
        return [*news, self.position.count(line.edges, line.per, arrived.at, line.raw)]

    def _goes_back(self, arrived: _Arrived) -> list[JoinerEvent]:
        line = arrived.line
        if self._seen.get(line.line) == (line.ms, line.edges):
            return []
        if self._behind and not self._follows(self._behind[-1].line, line):
            self._behind.clear()
        self._behind.append(arrived)
        if len(self._behind) < _BEHIND_MOST:
            return []
        first, *others = self._behind
        self._behind = []
        events = self._board_began_anew(first)
        for each in others:
            events += self.feed(each.line, each.earliest, each.at)
        return events

    def _confirmed(self, held: _Arrived) -> list[JoinerEvent]:
        """A second line says the same as the one that was held back."""
        last = self._last
        assert last is not None
        if held.line.boot != last.line.boot:
            return self._board_began_anew(held)
        if held.line.per != last.line.per:
            why = f"the edges of a turn changed from {last.line.per} to {held.line.per}"
            return [self.position.break_off(why, held.at, held.line.raw), *self._forward(last, held)]
        return self._forward(last, held)

    def _board_began_anew(self, first: _Arrived) -> list[JoinerEvent]:
        last = self._last
        assert last is not None
        # the last good line may be older than its arrival, which makes the gap longer, never shorter
        gap = first.at - last.earliest + self._profile.latency_s
        lost = self.position.speed_limit * gap
        why = f"the board started anew, and what turned within {gap:.2f} s may not have been counted"
        if math.isinf(gap):
            why = "the board started anew while nobody was listening"
        event = self.position.start_over(last.line.edges, last.line.per, lost, lost, why, first.at, first.line.raw)
        self._seen.clear()
        self._behind = []
        self._seconds = 0.0
        return [event, *self._accept(first)]

    def _follows(self, before: HallLine, after: HallLine) -> bool:
        """Whether a spindle can have got from the one to the other."""
        if after.boot != before.boot or after.per != before.per or after.line <= before.line:
            return False
        ms = _ms_between(before, after)
        if ms > _MS_WRAP // 2:
            return False
        most = self.position.speed_limit * (ms / 1000.0 + _CLOCK_SLACK_S) * before.per + 1
        return abs(after.edges - before.edges) <= most


def _ms_between(before: HallLine, after: HallLine) -> int:
    return (after.ms - before.ms) % _MS_WRAP


def _unused(arrived: _Arrived, reason: str) -> BadLine:
    return BadLine(arrived.line.raw, reason, arrived.at)
