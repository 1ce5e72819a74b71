"""A winding that comes off in goes: what is off so far, however it was counted; no I/O."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from bench.survey.evidence import count_of

__all__ = ["EDGE_WITHIN", "Bounded", "Stripping"]

EDGE_WITHIN = 0.1
"""Turns at least by which a counted go may be wrong at its ends, however fine the counter: the hand stops the spindle
where the wire lets go, not where an edge falls (common practice, no source)."""

_TELLS_SENSE = 1.0
_MOST = 100_000.0

Bounded = tuple[float, float, float]
"""Turns, with the truth in [the second, the third]."""

_NONE: Bounded = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Stripping:
    """off [turns], with the truth in [low, high];  goes;  typed: net turns that were typed.

    base: what is off whichever way the spindle's travel counts;  travel: of the goes since then that are over;
    position: of the counter's go;  counter: whose travel it is;  sense: +1 or -1, the sign of travel that takes turns
    off, 0 while there is none;  told: whether no other sense is possible, not only presumed;  counting: whether a
    counter's go is under way;  blur: turns by which the ends of all counted goes may be wrong.
    """

    winding: str
    off: float = 0.0
    low: float = 0.0
    high: float = 0.0
    goes: int = 0
    typed: float = 0.0
    base: Bounded = _NONE
    travel: Bounded = _NONE
    position: Bounded = _NONE
    counter: str = ""
    sense: int = 0
    told: bool = False
    counting: bool = False
    blur: float = 0.0

    @property
    def bounded(self) -> bool:
        """False where the counter lost the count and nothing bounds it."""
        return math.isfinite(self.high)

    @property
    def certain(self) -> bool:
        return self.low == self.high

    @property
    def how(self) -> str:
        """`counter`, `typed` or both, as the record keeps it."""
        if not self.blur:
            return "typed"
        return "counter and typed" if self.typed else "counter"

    def with_typed(self, turns: float) -> Stripping:
        """One more go as typed; a negative one takes turns back.  Ends a counter's go.

        turns: not 0, the sum from 0 to 100 000; raises ValueError.
        """
        if turns == 0 or not math.isfinite(turns):
            raise ValueError(f"{turns:g} turns, expected more than none, such as 84, 83.5, or -3 for turns taken back")
        if self.off + turns < 0:
            raise ValueError(f"{-turns:g} turns can't be taken back, expected at most the {self.off:g} that are off")
        if self.off + turns > _MOST:
            raise ValueError(f"{self.off + turns:g} turns in all, expected at most {_MOST:g}")
        ended = self.ended()
        return (
            replace(ended, base=_sum(ended.base, (turns,) * 3), goes=self.goes + 1, typed=self.typed + turns)
            ._worked_out()
            .ended()
        )

    def set_to(self, turns: float) -> Stripping:
        """A person says how many turns are off, whatever was counted; where only one sense of the travel so far agrees
        with that to a turn, that tells it.  turns: 0 to 100 000; raises ValueError."""
        if not 0 <= turns <= _MOST:
            raise ValueError(f"{turns:g} turns off, expected from 0 to {_MOST:g}")
        ended = self.ended()
        agreeing = [sense for sense in (1, -1) if ended._may_leave(turns, sense)]
        if not ended.told and len(agreeing) == 1:
            ended = replace(ended, sense=agreeing[0], told=True)
        return replace(ended, base=(turns,) * 3, travel=_NONE, typed=turns, blur=0.0)._worked_out()

    def begun(self, edge: float, counter: str = "") -> Stripping:
        """A go of `counter` begins, with its position at zero.  edge [turns]: from one edge of it to the next.

        The place of the first and of the last edge is not known to better than one edge together.  What earlier goes
        told of the sense holds for the same counter only: another one may sit the other way on its spindle.
        """
        ended = self.ended()
        if counter != ended.counter:
            ended = replace(ended, base=(ended.off, ended.low, ended.high), travel=_NONE, sense=0, told=False)
        return replace(
            ended, goes=self.goes + 1, counter=counter, counting=True, blur=self.blur + max(EDGE_WITHIN, edge)
        )

    def moved(self, turns: float, low: float, high: float) -> Stripping:
        """The counter's position [turns] since its go began, with the truth in [low, high]; raises ValueError.

        The spindle may turn either way, and which way takes turns off is told only where the other would leave more on
        than there was, by a turn or more: a winding with nothing off can only come off.  Until then the first whole
        turn is presumed to come off, and [low, high] holds what either way would leave.  One counter keeps its sense
        through all its goes; where that comes to leave more on than there was, the former was turned end for end.
        """
        if not self.counting:
            raise ValueError("the counter moved and no go of it has begun, expected begun() first")
        return replace(self, position=(turns, low, high))._worked_out()

    def ended(self) -> Stripping:
        """The go is over; turns of the spindle from here on are none of the winding's."""
        if self.told:
            return replace(self, counting=False, base=(self.off, self.low, self.high), travel=_NONE, position=_NONE)
        return replace(self, counting=False, travel=_sum(self.travel, self.position), position=_NONE)

    def within(self, rules: dict[str, Any]) -> float:
        """Half width [turns] of the count; infinite where nothing bounds it.  rules: `count` of profiles/limits/survey.

        What the counter is not sure of, one edge for each counted go, and for what was typed as for any count by hand.
        """
        if not self.bounded:
            return math.inf
        half = max(self.off - self.low, self.high - self.off) + self.blur
        return half + (count_of(self.winding, abs(self.typed), rules).within if self.typed else 0.0)

    def _worked_out(self) -> Stripping:
        """off, low, high and the sense, from base, travel and position."""
        sense, told = self.sense, self.told
        travelled = _sum(self.travel, self.position)[0]
        if sense == 0 and abs(travelled) >= _TELLS_SENSE:
            sense = 1 if travelled > 0 else -1
        for one in (1, -1):
            if self._leaves(one)[2] <= -_TELLS_SENSE:
                sense, told = -one, True
        off, low, high = self._leaves(sense or (1 if travelled >= 0 else -1))
        if not told:
            # With nothing off at the base, one of the two is below none and only the other is left.
            both = (self._leaves(1), self._leaves(-1))
            low, high = min(one[1] for one in both), max(one[2] for one in both)
        off = max(0.0, off)
        return replace(self, off=off, low=min(off, max(0.0, low)), high=max(off, high), sense=sense, told=told)

    def _leaves(self, sense: int) -> Bounded:
        """Turns off if travel of that sign takes them off; below none where it can't have been so."""
        travelled = _sum(self.travel, self.position)
        low, high = sorted((sense * travelled[1], sense * travelled[2]))
        return _sum(self.base, (sense * travelled[0], low, high))

    def _may_leave(self, turns: float, sense: int) -> bool:
        _, low, high = self._leaves(sense)
        return low - _TELLS_SENSE < turns < high + _TELLS_SENSE

    def as_saved(self) -> dict[str, Any]:
        """JSON-able, to go on from; an infinite bound is None."""
        return {
            "off": self.off,
            "low": _plain(self.low),
            "high": _plain(self.high),
            "goes": self.goes,
            "typed": self.typed,
            "base": [_plain(one) for one in self.base],
            "travel": [_plain(one) for one in self.travel],
            "position": [_plain(one) for one in self.position],
            "counter": self.counter,
            "sense": self.sense,
            "told": self.told,
            "counting": self.counting,
            "blur": self.blur,
        }

    @classmethod
    def from_saved(cls, winding: str, saved: Mapping[str, Any]) -> Stripping:
        """What `as_saved` gave; raises ValueError for what it can't have given.

        One that was kept before the sense was held over several goes has no travel: its sense counts as presumed.
        """
        try:
            return cls(
                winding=winding,
                off=float(saved["off"]),
                low=_bound(saved["low"], 0.0),
                high=_bound(saved["high"], math.inf),
                goes=int(saved["goes"]),
                typed=float(saved["typed"]),
                base=_bounded(saved["base"]),
                travel=_bounded(saved.get("travel", _NONE)),
                position=_bounded(saved.get("position", _NONE)),
                counter=str(saved.get("counter", "")),
                sense=int(saved["sense"]),
                told=bool(saved.get("told", False)),
                counting=bool(saved["counting"]),
                blur=float(saved["blur"]),
            )
        except (KeyError, TypeError, ValueError) as problem:
            raise ValueError(f"{winding}: turns off as kept can't be read ({problem!r}), expected as_saved()") from None


def _sum(one: Bounded, other: Bounded) -> Bounded:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def _bounded(kept: Any) -> Bounded:
    turns, low, high = kept
    return float(turns), _bound(low, -math.inf), _bound(high, math.inf)


def _plain(turns: float) -> float | None:
    return turns if math.isfinite(turns) else None


def _bound(kept: float | None, where_none: float) -> float:
    return where_none if kept is None else float(kept)
