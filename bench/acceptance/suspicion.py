"""What the readings of a test speak for while it goes on, and which of it forbids more volts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

from bench.acceptance.fault_places import places
from bench.acceptance.result import DANGEROUS, StepResult

__all__ = [
    "LEAST_BOUND",
    "SHORTED",
    "NothingSuspected",
    "Suspicion",
    "Weigh",
    "danger_in_words",
    "probability_of",
]

SHORTED = frozenset({"turns_shorted", "screen_closed"})
"""Faults that are a turn closed on itself."""

_OF_THE_FED_WINDING = frozenset({"winding_open", "winding_reversed"})
# A share of the danger under this is not worth a word.
_WORTH_A_WORD = 0.05

LEAST_BOUND = 0.25
"""The dangerous faults together are less probable than this while all is `as_designed`."""


@dataclass(frozen=True)
class Suspicion:
    """A fault at a place, all its sizes together, as probable as the readings so far make it;  words: in a sentence."""

    fault: str
    winding: str
    size: str
    probability: float
    words: str

    @property
    def faults(self) -> frozenset[str]:
        """Its names; of two faults at once, both."""
        return frozenset(self.fault.split("+"))

    @property
    def place(self) -> tuple[str, str]:
        """What makes it the same suspicion later on: which winding's turn is shorted can hardly be told."""
        return self.fault, "" if self.fault == "turns_shorted" else self.winding

    def is_dangerous(self, fed: str) -> bool:
        """Whether more volts could burn or shock by it.  fed: the winding that is fed, which must be whole."""
        on_fed = any(
            fault in _OF_THE_FED_WINDING and place.partition(".")[0] == fed
            for fault, place in places(self.fault, self.winding)
        )
        return bool(self.faults & DANGEROUS) or on_fed

    def as_json(self) -> dict[str, Any]:
        return {
            "fault": self.fault,
            "winding": self.winding,
            "size": self.size,
            "probability": round(self.probability, 4),
        }


class Weigh(Protocol):
    """A diagnosis of the steps of a test that goes on."""

    def __call__(self, steps: tuple[StepResult, ...]) -> tuple[Suspicion, ...]:
        """The faults that would explain them, most probable first; what is missing to one is a good unit's share."""
        ...

    def as_designed(self, steps: tuple[StepResult, ...]) -> bool:
        """Whether all lies so near the design that no dangerous fault can be more probable than `LEAST_BOUND`."""
        ...


class NothingSuspected:
    """Where nobody diagnoses."""

    def __call__(self, steps: tuple[StepResult, ...]) -> tuple[Suspicion, ...]:
        return ()

    def as_designed(self, steps: tuple[StepResult, ...]) -> bool:
        return True


def probability_of(suspicions: tuple[Suspicion, ...], faults: frozenset[str]) -> float:
    """That one of these faults is there, alone or beside another."""
    return sum(one.probability for one in suspicions if one.faults & faults)


def danger_in_words(suspicions: tuple[Suspicion, ...], fed: str, above: float) -> str:
    """Why no more volts may be put on, empty where the dangerous faults together are not more probable than `above`."""
    dangerous = [one for one in suspicions if one.is_dangerous(fed)]
    together = sum(one.probability for one in dangerous)
    if together <= above:
        return ""
    told = [one for one in dangerous if one.probability >= _WORTH_A_WORD]
    named = " or ".join(f"{one.words} ({one.probability:.0%})" for one in told)
    return f"by the readings so far it is {together:.0%} probable that {named}"
