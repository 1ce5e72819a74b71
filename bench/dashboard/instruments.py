"""How the counter and the meter are: port, identity, last value and its age, and what to do when one is lost."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from bench.quantities import show
from drivers.reading import Reading, State

__all__ = ["COUNTER", "METER", "Health", "InstrumentState", "reading_text"]

_COUNTER_SILENT_AFTER = 3.0
"""Seconds [s] without a line after which a counter is called silent: boards repeat their count within a second."""


class Health(StrEnum):
    """Of an instrument, as a person should take it."""

    WAITING = "not opened yet"
    WELL = "well"
    SILENT = "silent"
    LOST = "lost"
    RESTING = "not needed now"


@dataclass(frozen=True)
class InstrumentState:
    """One instrument: address, identity, last value in words, heard_at [s, monotonic], what it is to do when not well.

    silent_after [s]: infinite for a meter, which speaks only when it is asked.
    """

    name: str
    silent_after: float
    silent_advice: str
    condition: Health = Health.WAITING
    address: str = ""
    identity: str = ""
    last: str = ""
    heard_at: float | None = None
    advice: str = ""

    def health(self, now: float) -> Health:
        """The condition, or silent when its last word is too old."""
        age = self.age(now)
        if self.condition is Health.WELL and age is not None and age > self.silent_after:
            return Health.SILENT
        return self.condition

    def age(self, now: float) -> float | None:
        """Seconds since the last word, None while there was none."""
        return None if self.heard_at is None else max(0.0, now - self.heard_at)

    def what_to_do(self, now: float) -> str:
        """One line for the person; empty when there is nothing to do."""
        return self.silent_advice if self.health(now) is Health.SILENT else self.advice


COUNTER = InstrumentState(
    name="Counter",
    silent_after=_COUNTER_SILENT_AFTER,
    silent_advice="Has the board power, and does the sensor see its magnet? The board keeps the count.",
    advice="It is opened when a winding begins.",
)
METER = InstrumentState(
    name="Meter", silent_after=math.inf, silent_advice="", advice="It is opened when the test begins."
)


def reading_text(reading: Reading) -> str:
    """A reading with its unit, or its state in words."""
    if reading.state is not State.GOOD or reading.value is None:
        return str(reading.state)
    return show(reading.value, reading.unit).replace("ohm", "Ω")
