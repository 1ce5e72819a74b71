"""A winding that comes off in goes: what is off so far, however it was counted; no I/O."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from bench.survey.evidence import count_of

__all__ = ["EDGE_WITHIN", "Stripping"]

EDGE_WITHIN = 0.1
"""Turns at least by which a counted go may be wrong at its ends, however fine the counter: the hand stops the spindle
where the wire lets go, not where an edge falls (common practice, no source)."""

_TELLS_SENSE = 1.0
_MOST = 100_000.0


@dataclass(frozen=True)
class Stripping:
    """off [turns], with the truth in [low, high];  goes;  typed: net turns that were typed.

    base: (off, low, high) where the counter's go began;  sense: +1 or -1, the sign of the spindle's travel that takes
    turns off, 0 while it is not told;  counting: whether a counter's go is under way;  blur: turns by which the ends of
    all counted goes may be wrong.
    """

    winding: str
    off: float = 0.0
    low: float = 0.0
    high: float = 0.0
    goes: int = 0
    typed: float = 0.0
    base: tuple[float, float, float] = (0.0, 0.0, 0.0)
    sense: int = 0
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
        return replace(
            self.ended(),
            off=self.off + turns,
            low=max(0.0, self.low + turns),
            high=self.high + turns,
            goes=self.goes + 1,
            typed=self.typed + turns,
        )

    def set_to(self, turns: float) -> Stripping:
        """A person says how many turns are off, whatever was counted.  turns: 0 to 100 000; raises ValueError."""
        if not 0 <= turns <= _MOST:
            raise ValueError(f"{turns:g} turns off, expected from 0 to {_MOST:g}")
        return replace(self.ended(), off=turns, low=turns, high=turns, typed=turns, blur=0.0)

    def begun(self, edge: float) -> Stripping:
        """A counter's go begins, with its position at zero.  edge [turns]: from one edge of the counter to the next.

        The place of the first and of the last edge is not known to better than one edge together.
        """
        return replace(
            self,
            goes=self.goes + 1,
            base=(self.off, self.low, self.high),
            sense=0,
            counting=True,
            blur=self.blur + max(EDGE_WITHIN, edge),
        )

    def moved(self, turns: float, low: float, high: float) -> Stripping:
        """The counter's position [turns] since its go began, with the truth in [low, high]; raises ValueError.

        The spindle may turn either way: its first whole turn of the go is taken as turns that come off, and what goes
        the other way is wound on again.  Where that would leave more on than there was, the sense was told wrongly and
        is turned over.
        """
        if not self.counting:
            raise ValueError("the counter moved and no go of it has begun, expected begun() first")
        before, before_low, before_high = self.base
        sense = self.sense
        if sense == 0 and abs(turns) >= _TELLS_SENSE:
            sense = 1 if turns > 0 else -1
        told = sense or (1 if turns >= 0 else -1)
        if before + told * turns < 0:
            told, sense = -told, -told
        if before == 0:
            # Nothing was off: either way of the spindle is turns that came off.
            least = 0.0 if low <= 0 <= high else min(abs(low), abs(high))
            most = max(abs(low), abs(high))
        elif sense == 0:
            # Not a whole turn yet: it may have been either way.
            most = max(abs(low), abs(high))
            least = -most
        else:
            least, most = sorted((told * low, told * high))
        off = before + told * turns
        return replace(
            self,
            off=off,
            low=min(off, max(0.0, before_low + least)),
            high=max(off, before_high + most),
            sense=sense,
        )

    def ended(self) -> Stripping:
        """The go is over; turns of the spindle from here on are none of the winding's."""
        return replace(self, counting=False, sense=0, base=(self.off, self.low, self.high))

    def within(self, rules: dict[str, Any]) -> float:
        """Half width [turns] of the count; infinite where nothing bounds it.  rules: `count` of profiles/limits/survey.

        What the counter is not sure of, one edge for each counted go, and for what was typed as for any count by hand.
        """
        if not self.bounded:
            return math.inf
        half = max(self.off - self.low, self.high - self.off) + self.blur
        return half + (count_of(self.winding, abs(self.typed), rules).within if self.typed else 0.0)

    def as_saved(self) -> dict[str, Any]:
        """JSON-able, to go on from; an infinite bound is None."""
        return {
            "off": self.off,
            "low": _plain(self.low),
            "high": _plain(self.high),
            "goes": self.goes,
            "typed": self.typed,
            "base": [_plain(one) for one in self.base],
            "sense": self.sense,
            "counting": self.counting,
            "blur": self.blur,
        }

    @classmethod
    def from_saved(cls, winding: str, saved: Mapping[str, Any]) -> Stripping:
        """What `as_saved` gave; raises ValueError for what it can't have given."""
        try:
            before, low, high = saved["base"]
            return cls(
                winding=winding,
                off=float(saved["off"]),
                low=_bound(saved["low"], 0.0),
                high=_bound(saved["high"], math.inf),
                goes=int(saved["goes"]),
                typed=float(saved["typed"]),
                base=(float(before), _bound(low, 0.0), _bound(high, math.inf)),
                sense=int(saved["sense"]),
                counting=bool(saved["counting"]),
                blur=float(saved["blur"]),
            )
        except (KeyError, TypeError, ValueError) as problem:
            raise ValueError(f"{winding}: turns off as kept can't be read ({problem!r}), expected as_saved()") from None


def _plain(turns: float) -> float | None:
    return turns if math.isfinite(turns) else None


def _bound(kept: float | None, where_none: float) -> float:
    return where_none if kept is None else float(kept)
