"""What a profile says about a counter: its line, the form of its lines, and what it can't do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from drivers.errors import ProfileError
from drivers.line_pattern import LinePattern
from drivers.line_settings import LineSettings
from drivers.line_tables import line_settings_from
from drivers.strict_table import StrictTable

__all__ = ["CountDirection", "CountUnit", "CounterProfile", "LineForm", "PlainForm", "counter_profile_from"]

_SCHEMA = 1


class LineForm(StrEnum):
    """The forms of line that can be read."""

    HALL = "hall"
    PLAIN = "plain"


class CountUnit(StrEnum):
    TURNS = "turns"
    EDGES = "edges"


class CountDirection(StrEnum):
    """Whether the board knows which way the spindle goes; without, it counts upward either way."""

    UP = "up"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class PlainForm:
    """Where the integer stands in a line of text, and what it counts.

    pattern: full match of a line, group `count`.  edges_per_turn: where the unit is edges.
    resets_on_open: the board starts anew, at zero, whenever its port is opened.
    wraps_at: how many numbers it has, such as 65536 for 16 bits, signed or not; 0 where it can't run out of them.
    trusted_after: lines without any damage after which the cable is taken for sound and each line for what it says;
    until then a count that moves lies within what the spindle can do.
    period_s: how often it sends, also at rest; 0 for one that sends only when the count changes.
    """

    pattern: LinePattern
    unit: CountUnit = CountUnit.TURNS
    edges_per_turn: int = 1
    resets_on_open: bool = False
    wraps_at: int = 0
    period_s: float = 0.0
    trusted_after: int = 300


@dataclass(frozen=True, slots=True)
class CounterProfile:
    """A counter. What bounds the count when lines are missing:

    max_speed: the most the spindle does, turns/s.  max_acceleration: how fast it is stopped or started at
    most, turns/s²; a board with one sensor can't see a reversal, and this tells where one was possible.
    direction: what the board can tell; a framed board's own word (`sensors=`) goes before it.
    latency_s: how long a line may be on its way at most.  reverse: its number falls as turns go on.
    """

    name: str
    about: str
    form: LineForm
    line: LineSettings
    direction: CountDirection
    max_speed: float
    max_acceleration: float
    latency_s: float = 0.1
    line_limit: int = 120
    identify: str | None = None
    reverse: bool = False
    plain: PlainForm | None = field(default=None)


def counter_profile_from(data: Mapping[str, object], where: str) -> CounterProfile:
    """Build a profile from its table; raises ProfileError with every problem, one line each."""
    problems: list[str] = []
    top = StrictTable(data, where, problems)
    top.integer("schema", least=_SCHEMA, most=_SCHEMA)
    interface, spindle = top.table("interface"), top.table("spindle")
    form = top.choice("form", LineForm)
    profile = CounterProfile(
        name=top.text("name"),
        about=top.text("about", ""),
        form=form,
        line=line_settings_from(interface),
        direction=top.choice("direction", CountDirection),
        max_speed=spindle.number("max_speed_turns_per_s", least=0.01, most=1000.0),
        max_acceleration=spindle.number("max_acceleration_turns_per_s2", least=0.01, most=10000.0),
        latency_s=interface.number("latency_s", 0.1, most=10.0),
        line_limit=interface.integer("line_limit", 120, least=16, most=1000),
        identify=top.text("identify") if top.has("identify") else None,
        reverse=top.flag("reverse", False),
        plain=_plain_from(top.table("plain")) if form is LineForm.PLAIN else None,
    )
    for table in (top, interface, spindle):
        table.finish()
    if problems:
        raise ProfileError("\n".join(problems))
    return profile


def _plain_from(table: StrictTable) -> PlainForm:
    unit = table.choice("unit", CountUnit)
    form = PlainForm(
        pattern=table.pattern("pattern", groups=("count",)),
        unit=unit,
        edges_per_turn=table.integer("edges_per_turn", least=1, most=1000) if unit is CountUnit.EDGES else 1,
        resets_on_open=table.flag("resets_on_open", False),
        wraps_at=table.integer("wraps_at", 0, most=1 << 64),
        period_s=table.number("period_s", 0.0, most=60.0),
        trusted_after=table.integer("trusted_after", 300),
    )
    table.finish()
    return form
