"""A winding, its taps and leads, and the screens between windings."""

from __future__ import annotations

import itertools
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field, model_validator

from bench.job.fields import Amps, Count, Metres, Model, Ohms, Volts
from bench.job.wire import WireSize

__all__ = ["Lead", "Role", "Screen", "Sense", "Tap", "Winding", "check_parallel"]

Name = Annotated[str, Field(min_length=1, max_length=24, pattern=r"^[A-Za-z][A-Za-z0-9_-]*$")]


class Role(StrEnum):
    PRIMARY = "primary"
    SECONDARY = "secondary"


class Sense(StrEnum):
    """Which way the turns run from start to finish, seen from the start side."""

    CLOCKWISE = "clockwise"
    COUNTER_CLOCKWISE = "counter-clockwise"


class Lead(Model):
    """Where an end of a winding comes out: its tag or number, its colour, its side."""

    tag: str = ""
    colour: str = ""
    side: str = ""

    def __str__(self) -> str:
        return " ".join(part for part in (self.tag, f"({self.colour})" if self.colour else "") if part)


class Tap(Model):
    """A lead brought out after a number of turns from the start."""

    name: Name
    turn: Count
    lead: Lead = Lead()


class Winding(Model):
    """One winding; windings stand in the job in the order in which they lie on the former, inside first."""

    name: Name
    role: Role
    turns: Count | None = None
    taps: tuple[Tap, ...] = ()
    wire: WireSize | None = None
    grade: Literal[1, 2] | None = Field(default=None, description="enamel: 1 single, 2 double")
    strands: Annotated[int, Field(strict=True, ge=1, le=16)] = 1
    sense: Sense = Sense.CLOCKWISE
    start: Lead = Lead()
    finish: Lead = Lead()
    rated_voltage: Volts | None = None
    rated_current: Amps | None = None
    rated_at: Literal["load", "no load"] = "load"
    layers: tuple[Count, ...] = ()
    mean_turn: Metres | None = None
    resistance: Ohms | None = Field(default=None, description="as known from a sheet, at 20 degC")
    parallel_with: Name | None = Field(
        default=None,
        description="the winding that it will be joined with, start to start; strands brought out apart too",
    )
    note: str = ""

    @model_validator(mode="after")
    def _taps_in_order(self) -> Winding:
        turns = [tap.turn for tap in self.taps]
        if turns != sorted(set(turns)):
            raise ValueError(f"taps of {self.name} at {turns}, expected each at a higher turn than the one before")
        if self.turns is not None and turns and turns[-1] >= self.turns:
            raise ValueError(f"a tap of {self.name} at turn {turns[-1]}, expected below its {self.turns} turns")
        if self.layers and self.turns is not None and sum(self.layers) != self.turns:
            raise ValueError(f"layers of {self.name} add up to {sum(self.layers)}, expected its {self.turns} turns")
        names = ["start", *(tap.name for tap in self.taps), "finish"]
        if len(set(names)) != len(names):
            raise ValueError(f"leads of {self.name} are named {', '.join(names)}, expected each name once")
        return self

    @property
    def polarity(self) -> int:
        """+1 for clockwise, -1 for counter-clockwise."""
        return 1 if self.sense is Sense.CLOCKWISE else -1

    @property
    def lead_names(self) -> tuple[str, ...]:
        """`start`, the taps in order, `finish`."""
        return ("start", *(tap.name for tap in self.taps), "finish")

    def lead(self, name: str) -> Lead:
        """The lead of that name; raises KeyError."""
        if name == "start":
            return self.start
        if name == "finish":
            return self.finish
        return next((tap.lead for tap in self.taps if tap.name == name), Lead())

    @property
    def sections(self) -> tuple[tuple[str, str, int], ...]:
        """(lead, next lead, turns between) along the winding; empty while the turns are not known."""
        if self.turns is None:
            return ()
        marks = [("start", 0), *((tap.name, tap.turn) for tap in self.taps), ("finish", self.turns)]
        return tuple((a, b, end - begin) for (a, begin), (b, end) in itertools.pairwise(marks))


class Screen(Model):
    """A conductive sheet between windings, earthed by its lead; it must never close on itself.

    far_lead: of its other end, where that is brought out too: a test tells then whether it closes, and whether the
    earthed lead reaches all of it. Never earthed as well: that would close it.
    """

    name: Name = "screen"
    after: Name = Field(description="the winding that it lies on")
    material: str = "copper foil"
    thickness: Metres = 0.05e-3
    overlap_insulated: bool = True
    lead: Lead = Lead()
    far_lead: Lead | None = None


def check_parallel(windings: tuple[Winding, ...]) -> None:
    """Raises ValueError for windings that are to be joined in parallel and can't be: another, with as many turns."""
    by_name = {winding.name: winding for winding in windings}
    for one in windings:
        if one.parallel_with is None:
            continue
        other = by_name.get(one.parallel_with)
        if other is None or other is one:
            raise ValueError(f"{one.name}: parallel_with {one.parallel_with!r}, expected another winding's name")
        if None not in (one.turns, other.turns) and one.turns != other.turns:
            raise ValueError(
                f"{one.name} has {one.turns} turns and {other.name}, which it is parallel_with, {other.turns}: "
                "expected as many, or they drive a current through each other"
            )
