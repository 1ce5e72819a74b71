"""One explanation of the readings: a fault with its place and size, and how the unit then differs from its design."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from bench.acceptance.result import StepResult
from bench.diagnosis.sizes import Parts
from bench.job.expectation import GOOD, Expectation, Variant
from bench.job.model import Job

__all__ = ["Case", "Fault", "Hypothesis"]


@dataclass(frozen=True)
class Hypothesis:
    """A fault with its place and size; `variant` is how the unit then differs from its design.

    low_insulation, misread, unearthed: names of what it concerns, where a variant can't say it;  other_side: of low
    insulation, where it is known;  screen_share: of a turn's volts between the ends of the screen that it concerns.
    excess: span -> (mean, standard deviation) of what ln(ohms) lies over the variant's, where the size is told by the
    reading itself.
    fed_lost: of the primary's turns, what a shorted one of them leaves out of its volts.
    share: of the fault's prior; None where all hypotheses of the fault share alike;  parts: of two at once, both.
    """

    fault: str
    winding: str = ""
    size: str = ""
    variant: Variant = GOOD
    low_insulation: str = ""
    other_side: str = ""
    misread: str = ""
    unearthed: str = ""
    closed_screen: str = ""
    screen_share: float = 1.0
    excess: dict[str, tuple[float, float]] = field(default_factory=dict)
    fed_lost: float = 0.0
    share: float | None = None
    parts: tuple[Hypothesis, ...] = ()


TurnsOff = Callable[[str], tuple[float, float] | None]
"""Turns that a winding or section is off, if it alone is, and their standard uncertainty; None where nothing tells."""


def untold(name: str) -> tuple[float, float] | None:
    """Nothing tells."""
    return None


ANY: Parts = ((0.3, 1.0),)
"""Any contact up to 0.3 ohm, all alike."""


@dataclass(frozen=True)
class Case:
    """What the hypotheses of a fault are made from: the job, the readings of a good unit, and the steps as read.

    contacts: ohms through which a turn or a screen closes on itself, by fault: how often which are met;  turns_off: by
    all readings together.
    """

    job: Job
    design: Expectation
    steps: tuple[StepResult, ...]
    contacts: Mapping[str, Parts] = field(default_factory=lambda: {"turns_shorted": ANY, "screen_closed": ANY})
    turns_off: TurnsOff = untold


class Fault(Protocol):
    """A file of bench/diagnosis/faults: one fault, its hypotheses and its words.

    CHECK: what would settle it;  REMEDY: what mends it before varnish.
    """

    NAME: str
    CHECK: str
    REMEDY: str

    def hypotheses(self, case: Case) -> Iterator[Hypothesis]:
        """All places and sizes that are worth weighing for these readings."""
        ...

    def explains(self, winding: str, size: str) -> str:
        """The fault in one sentence."""
        ...
