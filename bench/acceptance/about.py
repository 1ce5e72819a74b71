"""What a kind of step is for: what it rules out, what must have gone before it, what it costs."""

from __future__ import annotations

from dataclasses import dataclass

from bench.job.procedure_file import Stage

__all__ = ["About"]


@dataclass(frozen=True)
class About:
    """One kind of step, in the words of a plan.

    words: what is done;  mains: whether it puts mains on the unit;  feeds: whether it feeds a winding at all;
    cautioned: whether it opens with cautions without which nothing may follow;  rules_out: faults that would show, by
    name;  guards: kinds of step that must have gone before, for what they rule out can hurt here;  minutes, and
    minutes_each for each of its readings (common practice, no source);  stages: where it means something, all where
    none is named.
    """

    words: str
    mains: bool = False
    feeds: bool = False
    cautioned: bool = False
    rules_out: tuple[str, ...] = ()
    guards: tuple[str, ...] = ()
    minutes: float = 0.0
    minutes_each: float = 0.5
    stages: tuple[Stage, ...] = ()

    def minutes_for(self, readings: int) -> float:
        """Minutes for so many readings."""
        return self.minutes + self.minutes_each * readings
