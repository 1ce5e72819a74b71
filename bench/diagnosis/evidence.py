"""The readings of a test as numbers that are compared together, with the doubt that they share."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult

__all__ = ["Evidence", "Kind", "Observed", "evidence_of"]

Array = NDArray[np.float64]


class Kind(StrEnum):
    """What a number is, and in which terms it is compared."""

    OHMS = "resistance over the one designed"
    TURNS = "turns over those designed, by volts"
    SERIES = "turns of two in series over those of both"
    AMPS = "ln of an exciting current"
    WATTS = "ln of the core's watts"
    STACK = "ln of the stack's height"
    SEARCH = "volts of a search coil over those designed"
    BACKFED = "turns of one over another's, over those designed, a third winding fed"
    SCREEN = "turns between the ends of a screen"
    REGULATION = "share of a winding's volts that its rated load takes away"


_KINDS = {
    "resistance": Kind.OHMS,
    "ratio": Kind.TURNS,
    "turns": Kind.TURNS,
    "sum": Kind.SERIES,
    "bucking": Kind.SERIES,
    "parallel": Kind.SERIES,
    "exciting": Kind.AMPS,
    "low_amps": Kind.AMPS,
    "low_watts": Kind.WATTS,
    "core_watts": Kind.WATTS,
    "stack_height": Kind.STACK,
    "screen": Kind.SCREEN,
    "search": Kind.SEARCH,
    "backfed": Kind.BACKFED,
    "regulation": Kind.REGULATION,
}
# Told as a share of what the design has.
_SHARES = (Kind.TURNS, Kind.OHMS, Kind.SEARCH, Kind.BACKFED)
_LOGARITHMS = (Kind.AMPS, Kind.WATTS, Kind.STACK)
# A core can't take less than this share of its design's watts: a reading of less is read as this (and fits nothing).
_LEAST_WATTS = 0.05


@dataclass(frozen=True)
class Observed:
    """One reading: what it is, of which span (of two: `one-other`), its value in the terms of its kind.

    scale: change of the value per change of the reading in SI.
    """

    kind: Kind
    name: str
    step: StepResult
    value: float
    scale: float

    @property
    def low(self) -> bool:
        """Whether it was read at a few volts, as the step or the one who typed it says."""
        return self.step.id.startswith(("ratio:", "low_watts", "low_amps", "sum:", "bucking:", "parallel:"))


@dataclass(frozen=True)
class Evidence:
    """n readings, as they are weighed together."""

    observed: tuple[Observed, ...]

    def __len__(self) -> int:
        return len(self.observed)

    @cached_property
    def values(self) -> Array:
        """(n,)"""
        return np.array([one.value for one in self.observed])

    @cached_property
    def covariance(self) -> Array:
        """(n, n): what the instruments leave in doubt; readings that name one source share its error."""
        sources: dict[str, int] = {}
        for one in self.observed:
            for part in one.step.components:
                sources.setdefault(part.source, len(sources))
        signed = np.zeros((len(self.observed), len(sources)))
        own = np.zeros(len(self.observed))
        for row, one in enumerate(self.observed):
            for part in one.step.components:
                signed[row, sources[part.source]] += part.u * part.sensitivity * one.scale
            told = float(signed[row] @ signed[row])
            own[row] = max(0.0, (one.step.u * one.scale) ** 2 - told)  # a record may lack its components
        return np.asarray(signed @ signed.T + np.diag(own))

    def rows(self, kind: Kind) -> Iterator[tuple[int, Observed]]:
        """The rows of one kind."""
        return ((row, one) for row, one in enumerate(self.observed) if one.kind is kind)


def evidence_of(steps: tuple[StepResult, ...]) -> Evidence:
    """All steps that gave a number which a design foretells; those laid to the reading itself are left out."""
    ids = {step.id for step in steps}
    found = []
    for step in steps:
        head, _, name = step.id.partition(":")
        if head == "open_circuit" and f"turns:{name}" not in ids:
            kind: Kind | None = Kind.TURNS  # an older record has the volts alone
        else:
            kind = _KINDS.get(head)
        if kind is None or step.verdict is Verdict.TROUBLE or step.measured is None:
            continue
        one = _observed(kind, name, step)
        if one is not None:
            found.append(one)
    return Evidence(tuple(found))


def _observed(kind: Kind, name: str, step: StepResult) -> Observed | None:
    measured, expected = step.measured, step.expected
    assert measured is not None
    if kind is Kind.SCREEN:
        return Observed(kind, step.winding, step, measured, 1.0)
    if kind is Kind.REGULATION:
        return None if expected is None else Observed(kind, name, step, measured, 1.0)
    if kind in _LOGARITHMS:
        least = _LEAST_WATTS * (expected or 0.0) if kind is Kind.WATTS else 0.0
        value = max(measured, least)
        if value <= 0 or (kind in (Kind.AMPS, Kind.WATTS) and not step.at_volts):
            return None
        return Observed(kind, name or step.winding, step, math.log(value), 1 / value)
    if not expected and kind in _SHARES:
        return None
    whole = abs(expected) if kind in _SHARES and expected else 1.0
    return Observed(kind, name, step, measured / whole, 1 / whole)
