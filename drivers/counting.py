"""What a count is, with what can happen to it: values only."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "BadLine",
    "Bounded",
    "Bridged",
    "Broken",
    "Corrected",
    "Count",
    "JoinerEvent",
    "LinkCameBack",
    "LinkWentAway",
]


@dataclass(frozen=True, slots=True)
class Count:
    """The counter's position: the truth lies in [low, high], and is `turns` where the two are equal.

    turns, low, high: signed turns.  speed: turns per second, signed, as the lines tell.
    at: arrival of the line, monotonic s.  raw: the line.
    """

    turns: float
    low: float
    high: float
    speed: float
    at: float
    raw: str = ""

    @property
    def certain(self) -> bool:
        return self.low == self.high


@dataclass(frozen=True, slots=True)
class Bridged:
    """Lines were lost on the way, and the board's absolute count closed the gap: nothing is lost."""

    lines: int
    why: str
    at: float
    raw: str = ""


@dataclass(frozen=True, slots=True)
class Bounded:
    """The count is an interval from here on, until a person sets it: the truth lies in [low, high] turns."""

    low: float
    high: float
    why: str
    at: float
    raw: str = ""


@dataclass(frozen=True, slots=True)
class Broken:
    """Nothing bounds the count any more: a person has to count and set it."""

    why: str
    at: float
    raw: str = ""


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line that was not used, with the reason."""

    raw: str
    reason: str
    at: float


@dataclass(frozen=True, slots=True)
class Corrected:
    """A person set the count; `before` is None where there was none yet."""

    before: Count | None
    turns: float
    reason: str
    at: float


@dataclass(frozen=True, slots=True)
class LinkWentAway:
    """The port was lost; the counter looks for it with each poll."""

    why: str
    at: float


@dataclass(frozen=True, slots=True)
class LinkCameBack:
    """The port is open again; `port` is another name where it came back under one."""

    away_s: float
    at: float
    port: str = ""


JoinerEvent = Count | Bridged | Bounded | Broken | BadLine
