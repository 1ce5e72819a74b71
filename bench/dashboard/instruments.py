"""How each instrument is: port, identity, last value and its age, and what to do when one is lost."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from bench.quantities import show
from drivers.reading import Reading, State

__all__ = [
    "COUNTER",
    "METER",
    "Health",
    "InstrumentState",
    "age_text",
    "board_text",
    "chosen_meters",
    "for_meter_at",
    "for_meter_of_role",
    "reading_text",
]

_COUNTER_SILENT_AFTER = 3.0
"""Seconds [s] without a line after which a counter is called silent: boards repeat their count within a second."""
_METER_SILENT_AFTER = 6.0
"""The same of a meter that a reading is waited for from: a slow one gives a value in two seconds (common practice, no
source)."""


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

    silent_after [s];  unasked: whether it speaks by itself, else only from awaited_at [s, monotonic] on, when a reading
    is waited for;  lost_at [s, monotonic];  role: of a meter among several;  trouble: what was
    told when it was lost, whole.
    """

    name: str
    silent_after: float
    silent_advice: str
    unasked: bool = False
    role: str = ""
    condition: Health = Health.WAITING
    address: str = ""
    identity: str = ""
    last: str = ""
    heard_at: float | None = None
    awaited_at: float | None = None
    lost_at: float | None = None
    advice: str = ""
    trouble: str = ""

    def health(self, now: float) -> Health:
        """The condition, or silent when its last word is too old."""
        quiet = self._quiet_since()
        if self.condition is Health.WELL and quiet is not None and now - quiet > self.silent_after:
            return Health.SILENT
        return self.condition

    def age(self, now: float) -> float | None:
        """Seconds since the last word, None while there was none."""
        return None if self.heard_at is None else max(0.0, now - self.heard_at)

    def away(self, now: float) -> float | None:
        """Seconds since it was lost, or fell silent; None while it is neither, or nobody saw when."""
        health = self.health(now)
        since = self.lost_at if health is Health.LOST else self._quiet_since() if health is Health.SILENT else None
        return None if since is None else max(0.0, now - since)

    def what_to_do(self, now: float) -> str:
        """One line for the person; empty when there is nothing to do."""
        return self.silent_advice if self.health(now) is Health.SILENT else self.advice

    def words(self, now: float) -> str:
        """Name and health, and for how long where it is not there."""
        away = self.away(now)
        return f"{self.name}: {self.health(now)}" + ("" if away is None or away < 1.0 else f" for {age_text(away)}")

    def heard(self, last: str, at: float) -> InstrumentState:
        """It gave a value."""
        return replace(
            self, condition=Health.WELL, last=last, heard_at=at, awaited_at=None, lost_at=None, advice="", trouble=""
        )  # fmt: skip

    def opened(self, *, address: str = "", identity: str = "") -> InstrumentState:
        return replace(
            self,
            condition=Health.WELL,
            address=address or self.address,
            identity=identity or self.identity,
            lost_at=None,
            awaited_at=None,
            advice="",
        )

    def awaited(self, at: float) -> InstrumentState:
        """A reading of it is waited for from now on."""
        return replace(self, awaited_at=at)

    def lost(self, at: float, advice: str) -> InstrumentState:
        return replace(self, condition=Health.LOST, lost_at=at, awaited_at=None, advice=advice)

    def resting(self) -> InstrumentState:
        """Nobody needs it any more; one that was never opened stays so."""
        if self.condition is Health.WAITING:
            return self
        return replace(self, condition=Health.RESTING, lost_at=None, awaited_at=None, advice="")

    def _quiet_since(self) -> float | None:
        if self.unasked:
            return self.heard_at
        if self.awaited_at is None:
            return None
        return max(self.awaited_at, self.heard_at or self.awaited_at)


COUNTER = InstrumentState(
    name="Counter",
    silent_after=_COUNTER_SILENT_AFTER,
    silent_advice="Has the board power, and does the sensor see its magnet? The board keeps the count.",
    unasked=True,
    advice="It is opened when a winding begins.",
)
METER = InstrumentState(
    name="Meter",
    silent_after=_METER_SILENT_AFTER,
    silent_advice="Is it switched on, set to its line, and its cable in? Volts to zero before you reach across.",
    advice="It is opened when the test begins.",
)
_NAMES = {"": "Meter", "volts": "Volts", "amps": "Amps", "ohms": "Ohms"}


def chosen_meters(uses: Sequence[tuple[str, str]]) -> tuple[InstrumentState, ...]:
    """Meters that will be opened: (role, PROFILE@PORT) of each, the role empty for the one that does the rest."""
    several = len(uses) > 1
    return tuple(
        replace(
            METER,
            name="Rest" if several and not role else _NAMES.get(role, role),
            role=role,
            address=use,
            # What a person reads and types is waited for without hurry.
            silent_after=_METER_SILENT_AFTER if "@" in use else math.inf,
        )
        for role, use in uses
    ) or (METER,)


def for_meter_at(
    meters: tuple[InstrumentState, ...], words: str, act: Callable[[InstrumentState], InstrumentState]
) -> tuple[InstrumentState, ...]:
    """`act` done to the meter whose address stands in `words`; to the one there is, or to the one that is waited for,
    where none does."""
    place = next((n for n, one in enumerate(meters) if one.address and one.address in words), None)
    if place is None:
        place = next((n for n, one in enumerate(meters) if one.awaited_at is not None), 0)
    return tuple(act(one) if n == place else one for n, one in enumerate(meters))


def for_meter_of_role(
    meters: tuple[InstrumentState, ...], role: str, act: Callable[[InstrumentState], InstrumentState]
) -> tuple[InstrumentState, ...]:
    """`act` done to the meter of a role, else to the one that does the rest."""
    place = next((n for n, one in enumerate(meters) if one.role == role), None)
    if place is None:
        place = next((n for n, one in enumerate(meters) if not one.role), 0)
    return tuple(act(one) if n == place else one for n, one in enumerate(meters))


def reading_text(reading: Reading) -> str:
    """A reading with its unit, or its state in words."""
    if reading.state is not State.GOOD or reading.value is None:
        return str(reading.state)
    return show(reading.value, reading.unit).replace("ohm", "Ω")


def age_text(age: float) -> str:
    """Whole seconds, or minutes, so that the figures stand still."""
    return f"{age:.0f} s" if age < 100 else f"{age / 60:.0f} min" if age < 6000 else f"{age / 3600:.0f} h"


_HALL = re.compile(r"hall hello (\S+) sensors=(\d) magnets=(\d+) boot=\d+(?: board=(\S+))?")


def board_text(identity: str) -> str:
    """What a counter board says of itself, for a person."""
    told = _HALL.match(identity)
    if told is None:
        return identity.strip()
    firmware, sensors, magnets, board = told.groups()
    parts = [f"board {board}" if board else "", firmware, _many(sensors, "sensor"), _many(magnets, "magnet")]
    return ", ".join(part for part in parts if part)


def _many(number: str, what: str) -> str:
    return f"{number} {what}" if number == "1" else f"{number} {what}s"
