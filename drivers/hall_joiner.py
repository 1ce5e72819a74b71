"""Joins framed lines to one count, whatever was lost, doubled or damaged between them."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Mapping
from typing import NamedTuple

from drivers.counter_profile import CounterProfile
from drivers.counting import BadLine, Bounded, Bridged, Broken, Count, JoinerEvent
from drivers.countline import HallLine, Hello
from drivers.position import Position
from drivers.reversal import ReversalWatch, watch_for

__all__ = ["HallJoiner"]

_ROUND = 1 << 30  # where the board's numbers begin anew
_HALF = 1 << 29
_REMEMBERED = 256
_BEHIND_MOST = 3  # so many lines in a row that go back in number are no echo: the board began anew
_CLOCK_SLACK_S = 0.05
_BOARD_CLOCK_S = 0.002  # the board counts milliseconds
_CLOCKS_AGREE = 0.02  # a board's clock without a crystal is a percent off
_SAYS_WITHIN_S = 60.0  # by then a board has said how many sensors it has, or never will: a greeting may get lost
_WHY_ANEW = "the board started anew"


class _Arrived(NamedTuple):
    """A line that came between `earliest` and `at`, monotonic s."""

    line: HallLine
    earliest: float
    at: float


class HallJoiner:
    """The board's count is absolute within one start of the board; a new start loses turns, and what the board itself
    can't vouch for is unsure."""

    def __init__(self, profile: CounterProfile) -> None:
        self._profile = profile
        watch = watch_for(profile, _BOARD_CLOCK_S)
        self.position = Position(profile.max_speed, profile.max_acceleration, watch, reverse=profile.reverse)
        self._last: _Arrived | None = None
        self._edges = 0  # of the last line, not wrapped
        self._held: _Arrived | None = None
        self._behind: list[_Arrived] = []
        self._seen: OrderedDict[int, tuple[int, int]] = OrderedDict()
        self._seconds = 0.0
        self._preset: float | None = None
        self._board = ""
        self._said_sensors = False

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
        if _ahead(last.line.line, line.line) <= 0 or _ms_between(last.line, line) > _HALF:
            return self._goes_back(arrived)
        self._behind.clear()
        if not self._follows(last.line, line):
            self._held = arrived
            return []
        return self._forward(last, arrived)

    def hello(self, hello: Hello, at: float) -> list[JoinerEvent]:
        """The board says which it is, and how many sensors it has; two tell the direction, also of what was counted
        before."""
        before, self._board = self._board, hello.board or self._board
        self._said_sensors = True
        if hello.sensors == 2:
            if self._last is not None and hello.boot != self._last.line.boot and self.position.watch is not None:
                # it speaks of the edges of its own start only
                self.position.settle(self._edges, self._last.line.per)
            self.position.watch = None
        elif self.position.watch is None:
            self.position.watch = ReversalWatch(self._profile.max_acceleration, self._profile.max_speed, _BOARD_CLOCK_S)
            if self._last is not None:
                self.position.watch.distrust(self._edges)
        if before and hello.board and hello.board != before and self._last is not None:
            return [self.position.break_off(f"another board answers, {hello.board} and not {before}", at, hello.raw)]
        return []

    def set_count(self, turns: float) -> None:
        if self._last is None:
            self._preset = turns
        else:
            self.position.set(turns, self._edges, self._last.line.per)

    def turn_sense(self) -> None:
        self.position.turn_sense(self._edges, self._last.line.per if self._last is not None else 1)

    def wound_back(self, turns: float) -> None:
        if self._last is not None:
            self.position.wound_back(turns, self._edges, self._last.line.per)

    @property
    def boot(self) -> int | None:
        return self._last.line.boot if self._last is not None else None

    @property
    def edges_per_turn(self) -> int | None:
        return self._last.line.per if self._last is not None else None

    def doubtful(self) -> float:
        return self.position.doubled(self._edges, self._last.line.per) / 2.0 if self._last is not None else 0.0

    def edges_at(self, turns: float) -> int | None:
        """The board's own count where the coil has `turns`; None where nothing tells."""
        if self._last is None or self.position.broken:
            return None
        edges = round(self.position.sense * (turns - self.position.offset) * self._last.line.per)
        return _wrapped(edges)

    def count_now(self) -> Count | None:
        if self._last is None:
            return None
        line = self._last.line
        return self.position.count(self._edges, line.per, self._last.at, line.raw)

    def snapshot(self) -> dict[str, object] | None:
        if self._last is None:
            return None
        return {**self.position.snapshot(), "last": list(self._last.line), "edges": self._edges, "board": self._board}

    def restore(self, saved: Mapping[str, object]) -> None:
        """Raises ValueError for what `snapshot` can't have given."""
        match saved.get("last"):
            case [int(boot), int(line), int(ms), int(edges), int(per), str(raw)] if per > 0:
                last = HallLine(boot, line, ms, edges, per, raw)
            case [int(boot), int(line), int(ms), int(edges), int(per), str(raw), int(doubt)] if per > 0:
                last = HallLine(boot, line, ms, edges, per, raw, doubt)
            case other:
                raise ValueError(f"a saved count holds the line {other!r}, expected a framed line's fields")
        match saved.get("edges", edges):
            case int(unwrapped):
                self._edges = unwrapped
            case other:
                raise ValueError(f"a saved count stands at {other!r} edges, expected a whole number")
        if saved.get("sensors") == 2:
            self.position.watch = None
        self.position.restore(saved)
        if self.position.watch is not None and self.position.watch.doubtful_from is None:
            # edges that came while nobody looked may have been either way
            self.position.watch.distrust(self._edges)
        self._board = str(saved.get("board", ""))
        self._last = _Arrived(last, -math.inf, -math.inf)
        self._seen.clear()

    # -- one line ----------------------------------------------------------------------------------

    def _first(self, arrived: _Arrived) -> list[JoinerEvent]:
        self._edges = arrived.line.edges
        if self._preset is not None:
            self.position.set(self._preset, self._edges, arrived.line.per)
            self._preset = None
        return self._accept(arrived)

    def _forward(self, last: _Arrived, arrived: _Arrived) -> list[JoinerEvent]:
        line = arrived.line
        self._seconds += _ms_between(last.line, line) / 1000.0
        missing = _ahead(last.line.line, line.line) - 1
        events: list[JoinerEvent] = []
        if missing:
            why = "lines were lost, the board's own count went on"
            events.append(Bridged(missing, why, arrived.at, line.raw))
        self._edges += _wrapped(line.edges - last.line.edges)
        if line.doubt > last.line.doubt:
            events.append(self._doubted(line.doubt - last.line.doubt, arrived))
        return events + self._accept(arrived)

    def _doubted(self, edges: int, arrived: _Arrived) -> Bounded:
        """The board saw something that it could not read."""
        line = arrived.line
        self.position.unsure_by(edges / line.per)
        now = self.position.count(self._edges, line.per, arrived.at, line.raw)
        why = "both switches changed at once, and the board can't tell which way the spindle went"
        return Bounded(now.low, now.high, why, arrived.at, line.raw)

    def _accept(self, arrived: _Arrived) -> list[JoinerEvent]:
        line, edges = arrived.line, self._edges
        self._last = arrived
        self._seen[line.line] = (line.ms, line.edges)
        if len(self._seen) > _REMEMBERED:
            self._seen.popitem(last=False)
        self.position.look(self._seconds, edges, line.per)
        count = self.position.count(edges, line.per, arrived.at, line.raw)
        if self.position.watch is None or not (self._said_sensors or self._seconds > _SAYS_WITHIN_S):
            return [count]
        return [*self.position.reversal_news(edges, line.per, arrived.at, line.raw), count]

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
        return self._leapt(last, held)

    def _leapt(self, last: _Arrived, held: _Arrived) -> list[JoinerEvent]:
        """Faster than any spindle: noise on a switch's wire counts like that. What the spindle can have done, and what
        the board says, are both possible."""
        seconds = _ms_between(last.line, held.line) / 1000.0 + _CLOCK_SLACK_S
        edges = _wrapped(held.line.edges - last.line.edges)
        excess = abs(edges) / held.line.per + self.position.speed_limit * seconds
        events = self._forward(last, held)
        self.position.unsure_by(excess)
        self.position.forget_speed()
        now = self.position.count(self._edges, held.line.per, held.at, held.line.raw)
        why = f"the count leapt by {abs(edges) / held.line.per:.1f} turns, faster than the spindle turns"
        return [*events[:-1], Bounded(now.low, now.high, why, held.at, held.line.raw), now]

    def _board_began_anew(self, first: _Arrived) -> list[JoinerEvent]:
        last = self._last
        assert last is not None
        # the last good line may be older than its arrival, which makes the gap longer, never shorter
        gap = first.at - last.earliest + self._profile.latency_s
        if math.isinf(gap):
            why, reach = f"{_WHY_ANEW} while nobody was listening", (math.inf, math.inf)
        elif first.line.ms / 1000.0 > gap * (1.0 + _CLOCKS_AGREE) + _CLOCK_SLACK_S:
            why, reach = (
                "another board answers: it runs for longer than the line was away",
                (math.inf, math.inf),
            )
        else:
            why = f"{_WHY_ANEW}, and what turned within {gap:.2f} s may not have been counted"
            reach = self.position.reach(gap)
        event: Bounded | Broken = self.position.start_over(
            self._edges, last.line.per, *reach, why, first.at, first.line.raw
        )
        self._seen.clear()
        self._behind = []
        self._seconds = 0.0
        self._edges = first.line.edges
        if first.line.doubt:
            self.position.unsure_by(first.line.doubt / first.line.per)
        return [event, *self._accept(first)]

    def _follows(self, before: HallLine, after: HallLine) -> bool:
        """Whether a spindle can have got from the one to the other."""
        if after.boot != before.boot or after.per != before.per or after.doubt < before.doubt:
            return False
        ms = _ms_between(before, after)
        if ms > _HALF or _ahead(before.line, after.line) <= 0:
            return False
        most = self.position.speed_limit * (ms / 1000.0 + _CLOCK_SLACK_S) * before.per + 1
        return abs(_wrapped(after.edges - before.edges)) <= most


def _ms_between(before: HallLine, after: HallLine) -> int:
    return (after.ms - before.ms) % _ROUND


def _ahead(before: int, after: int) -> int:
    """By how much a line's number is ahead of another, less than half way round."""
    return _wrapped(after - before)


def _wrapped(number: int) -> int:
    return (number + _HALF) % _ROUND - _HALF


def _unused(arrived: _Arrived, reason: str) -> BadLine:
    return BadLine(arrived.line.raw, reason, arrived.at)
