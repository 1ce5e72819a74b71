"""The core as it is drawn while it goes together: dimensions, layers in, missing and open, and what holds it."""

from __future__ import annotations

from dataclasses import dataclass

from bench.job.core import CoreShape
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.winding.restack import Due, Restack, due_of, laminations_due, restack_of
from bench.winding.restack_words import INTERLEAVES
from bench.winding.stage import Answered
from bench.winding.typed_answers import Laminations

__all__ = ["Stacked", "stacked_of"]

_SCRAPLESS = CoreShape(tongue=2.0, window_width=1.0, window_height=3.0, path=12.0)
"""Proportions of an E-I lamination that is cut without waste, where the job gives no dimensions."""
_STACK_OF_NOTHING = 2.0
"""Of the tongue's width where no stack is known: a square tongue is usual (common practice, no source)."""


@dataclass(frozen=True)
class Stacked:
    """shape [m], design [m] of stack, to_scale where the job gives them, else in proportion only.

    said: what was answered;  due: what the job lets expect;  wanted: closed layers that make the stack, None where
    nothing tells;  high [m]: of the layers that are in, None while nothing is.
    """

    shape: CoreShape
    design: float
    to_scale: bool
    said: Restack
    due: Due
    wanted: int | None
    high: float | None

    @property
    def closed(self) -> int | None:
        """Layers with both halves."""
        return None if self.said.put_in is None else self.said.put_in.closed

    @property
    def missing(self) -> int:
        """Closed layers that the stack lacks."""
        if self.closed is None or self.wanted is None:
            return 0
        return max(0, self.wanted - self.closed)

    @property
    def missing_high(self) -> float:
        """What they lack of its height [m]."""
        return 0.0 if not self.wanted else self.design * self.missing / self.wanted

    @property
    def open(self) -> tuple[int, str]:
        """How many layers have one half only, and which it is that they have."""
        put_in = self.said.put_in
        if put_in is None or put_in.e == put_in.i:
            return 0, ""
        return abs(put_in.e - put_in.i), "E" if put_in.e > put_in.i else "I"

    @property
    def aside(self) -> tuple[tuple[str, Laminations], ...]:
        """What lies beside the core."""
        piles = (("left over", self.said.left_over), ("scrapped", self.said.scrapped))
        return tuple((words, pile) for words, pile in piles if pile is not None and (pile.e or pile.i))

    @property
    def joined(self) -> str:
        """How the layers lie, as answered or as the job says."""
        return self.said.interleave or self.due.interleave

    @property
    def looser(self) -> bool:
        """Whether more air lies in the joints than the job says."""
        return INTERLEAVES.index(self.joined) > INTERLEAVES.index(self.due.interleave)

    @property
    def much_missing(self) -> bool:
        """Whether more is missing than the test passes."""
        return bool(self.wanted) and self.missing > self.due.tolerance * (self.wanted or 0)

    @property
    def off(self) -> float | None:
        """Of the measured stack from the design's, as a fraction; None where one of them is not known."""
        if self.said.stack is None or self.due.stack is None:
            return None
        return self.said.stack / self.due.stack - 1


def stacked_of(job: Job, known: Answered) -> Stacked:
    """From the job and the answers."""
    due, said = due_of(job, load_table("limits", "small-mains")), restack_of(known)
    shape = job.core.shape
    to_scale = shape is not None and due.stack is not None
    drawn = shape or _SCRAPLESS
    design = due.stack if due.stack is not None and shape is not None else _STACK_OF_NOTHING * drawn.tongue / 2
    wanted = laminations_due(due)
    if due.core_kept and said.came_out is not None and said.came_out.closed:
        wanted = said.came_out.closed
    return Stacked(drawn, design, to_scale, said, due, wanted, _high(said, design, wanted, to_scale))


def _high(said: Restack, design: float, wanted: int | None, to_scale: bool) -> float | None:
    """By the count where it tells, else as measured."""
    if said.put_in is not None and wanted:
        return design * max(said.put_in.e, said.put_in.i) / wanted
    if said.stack is not None and to_scale:
        return said.stack
    return None if said.put_in is None else design
