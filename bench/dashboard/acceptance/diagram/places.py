"""Where everything of a unit's drawing lies: windings, leads, screens, core; no Qt and no pixels of a font.

Lengths in pixels, x to the right, y down.  The primary and the screens stand left of the core, all else right of it;
the place of a lead depends on the job and the room alone, so that nothing jumps from one step to the next.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from bench.job.model import Job
from bench.job.winding import Lead, Role, Winding
from bench.quantities import show

__all__ = ["Box", "Coil", "Label", "Places", "Spot", "places_of"]

_WIDE = 530.0
"""Width [px] that the columns below were chosen for; a wider room spreads them."""
_SOURCE, _SERIES, _METER, _LEFT, _STUB, _COIL, _GAP, _RIGHT = 24.0, 84.0, 124.0, 174.0, 88.0, 26.0, 12.0, 90.0
_TOP, _FOOT = 44.0, 16.0
"""Rooms above and below the rows: of a meter that lies across the unit, and of links across."""
_MOST_PITCH = 46.0
_TIGHT = 25.0
"""Pitch [px] below which a lead's name and colour stand in one line."""
_HEAD, _LEAD, _PRIMARY, _AFTER = 0.72, 1.0, 1.5, 0.22
"""Heights of rows, in pitches: a winding's name, a lead, a lead of the primary, the space after a group."""


@dataclass(frozen=True)
class Box:
    """A rectangle."""

    left: float
    top: float
    wide: float
    high: float

    @property
    def right(self) -> float:
        return self.left + self.wide

    @property
    def bottom(self) -> float:
        return self.top + self.high

    def meets(self, other: Box) -> bool:
        """Whether they share more than an edge."""
        apart = self.right <= other.left + 0.01 or other.right <= self.left + 0.01
        return not (apart or self.bottom <= other.top + 0.01 or other.bottom <= self.top + 0.01)


@dataclass(frozen=True)
class Spot:
    """A terminal: its middle, on which side of the core (-1 left, 1 right), its lead."""

    name: str
    x: float
    y: float
    side: int
    lead: Lead

    @property
    def body(self) -> str:
        return self.name.partition(".")[0]


@dataclass(frozen=True)
class Label:
    """Words in a box;  of: what they belong to;  right: set against its right edge;  colour: the name
    of one."""

    words: str
    box: Box
    of: str
    right: bool = False
    bold: bool = False
    colour: bool = False


@dataclass(frozen=True)
class Coil:
    """A winding between its first and its last lead;  dot: y of the end where its turns begin, seen one way round."""

    name: str
    x: float
    top: float
    bottom: float
    side: int
    dot: float


@dataclass(frozen=True)
class Places:
    """screens: x, top and bottom of each, by name;  columns: x of source, of what stands in series and of the meters
    left and right;  radius of a terminal."""

    wide: float
    high: float
    radius: float
    spots: dict[str, Spot]
    coils: tuple[Coil, ...]
    screens: dict[str, tuple[float, float, float]]
    labels: tuple[Label, ...]
    core: Box
    source_x: float
    series_x: float
    meter_left_x: float
    meter_right_x: float
    across_y: float
    foot_y: float
    primary: tuple[str, str] | None = None

    @property
    def scale(self) -> float:
        """How much larger than designed."""
        return self.wide / _WIDE


@dataclass
class _Column:
    """Rows on one side, from top to foot."""

    side: int
    rows: list[tuple[str, str, float]] = field(default_factory=list)

    def add(self, kind: str, name: str, weight: float) -> None:
        self.rows.append((kind, name, weight))

    @property
    def weight(self) -> float:
        return sum(weight for _, _, weight in self.rows)


def places_of(job: Job, wide: float, high: float) -> Places:
    """The places in a room of this size."""
    scale = wide / _WIDE
    top, foot = _TOP * scale, _FOOT * scale
    room = max(1.0, high - top - foot)
    left, right = _columns(job)
    pitches = [min(_MOST_PITCH * scale, room / max(1.0, column.weight)) for column in (left, right)]
    pitch = min(pitches)
    maker = _Maker(job, scale, wide, min(12 * scale, 0.36 * pitch))
    for column, own in zip((left, right), pitches, strict=True):
        # Both from the top, so that the winding that is fed stays beside its source.
        maker.lay(column, top, own)
    return maker.made(high, top, foot)


def _columns(job: Job) -> tuple[_Column, _Column]:
    left, right = _Column(-1), _Column(1)
    for winding in job.winding:
        column = left if winding.role is Role.PRIMARY else right
        column.add("head", winding.name, _HEAD)
        for lead in winding.lead_names:
            column.add("lead", f"{winding.name}.{lead}", _PRIMARY if column is left else _LEAD)
        column.add("space", "", _AFTER)
    for screen in job.screen:
        left.add("head", screen.name, _HEAD)
        left.add("lead", f"{screen.name}.lead", _LEAD)
        if screen.far_lead is not None:
            left.add("lead", f"{screen.name}.far_lead", _LEAD)
        left.add("space", "", _AFTER)
    left.add("lead", "core", _LEAD)
    left.add("lead", "earth.lead", _LEAD)
    return left, right


class _Maker:
    """Puts rows into places."""

    def __init__(self, job: Job, scale: float, wide: float, radius: float) -> None:
        self._job, self._scale, self._wide, self._radius = job, scale, wide, radius
        self._spots: dict[str, Spot] = {}
        self._labels: list[Label] = []
        self._pitch = {-1: 0.0, 1: 0.0}
        spare = wide - (_LEFT + 2 * _STUB + 2 * _COIL + 2 * _GAP + 14 + _RIGHT) * scale
        self._stub = _STUB * scale + max(0.0, spare) / 2
        self._coil = _COIL * scale

    def _lead_x(self, side: int) -> float:
        return _LEFT * self._scale if side < 0 else self._wide - _RIGHT * self._scale

    def _coil_x(self, side: int) -> float:
        return self._lead_x(side) - side * self._stub

    def lay(self, column: _Column, top: float, pitch: float) -> None:
        self._pitch[column.side] = pitch
        y = top
        for kind, name, weight in column.rows:
            if kind == "head":
                self._head(name, column.side, y, weight * pitch)
            elif kind == "lead":
                # Where its words stand in one line above it, it lies lower in its row.
                down = 0.3 * pitch if pitch < _TIGHT * self._scale else 0.0
                self._lead(name, column.side, y + weight * pitch / 2 + down, pitch)
            y += weight * pitch

    def _head(self, name: str, side: int, y: float, high: float) -> None:
        winding = self._winding(name)
        words = name if winding is None or winding.rated_voltage is None else f"{name}  {_volts(winding)}"
        ends = self._lead_x(side), self._coil_x(side) - side * self._coil
        box = Box(min(ends), y, abs(ends[1] - ends[0]), high)
        self._labels.append(Label(words, box, name, right=side < 0, bold=True))

    def _lead(self, name: str, side: int, y: float, pitch: float) -> None:
        lead = self._lead_of(name)
        x = self._lead_x(side)
        self._spots[name] = Spot(name, x, y, side, lead)
        near, far = x - side * (self._radius + 3 * self._scale), self._coil_x(side) + side * 2 * self._scale
        words = "earth lead" if name == "earth.lead" else name.partition(".")[2].replace("_", " ") or name
        left, wide = min(near, far), abs(far - near)
        over, under = 2.5 * self._scale, 3 * self._scale
        tight = pitch < _TIGHT * self._scale
        high = min(15 * self._scale, 0.8 * pitch - over if tight else (pitch - over - under) / 2)
        if tight and lead.colour:
            words = f"{words}, {lead.colour}"
        self._labels.append(Label(words, Box(left, y - over - high, wide, high), name))
        if lead.colour and not tight:
            self._labels.append(Label(lead.colour, Box(left, y + under, wide, high), name, colour=True))

    def _winding(self, name: str) -> Winding | None:
        return next((one for one in self._job.winding if one.name == name), None)

    def _lead_of(self, name: str) -> Lead:
        body, _, lead = name.partition(".")
        for screen in self._job.screen:
            if screen.name == body:
                return (screen.lead if lead == "lead" else screen.far_lead) or Lead()
        winding = self._winding(body)
        return Lead() if winding is None else winding.lead(lead)

    def made(self, high: float, top: float, foot: float) -> Places:
        scale = self._scale
        middle = (self._coil_x(-1) + self._coil_x(1)) / 2
        ends = [spot.y for spot in self._spots.values() if spot.name != "earth.lead"]
        core = Box(middle - 6 * scale, top, 12 * scale, max(ends, default=top) - top + 4 * scale)
        coils = tuple(self._coil_of(winding) for winding in self._job.winding)
        primary = self._job.primary
        return Places(
            self._wide, high, self._radius, self._spots, coils, self._screens(core), tuple(self._labels), core,
            source_x=_SOURCE * scale, series_x=_SERIES * scale, meter_left_x=_METER * scale,
            meter_right_x=self._lead_x(1) + 44 * scale, across_y=top / 2, foot_y=high - foot / 2,
            primary=None if primary is None else (f"{primary.name}.start", f"{primary.name}.finish"),
        )  # fmt: skip

    def _coil_of(self, winding: Winding) -> Coil:
        ys = [self._spots[f"{winding.name}.{lead}"].y for lead in winding.lead_names]
        side = -1 if winding.role is Role.PRIMARY else 1
        dot = ys[0] if winding.polarity > 0 else ys[-1]
        return Coil(winding.name, self._coil_x(side), ys[0], ys[-1], side, dot)

    def _screens(self, core: Box) -> dict[str, tuple[float, float, float]]:
        """Dashed lines left of the core, over the height of the windings."""
        found = {}
        for number, screen in enumerate(self._job.screen):
            x = core.left - (4 + 5 * number) * self._scale
            found[screen.name] = (x, core.top, core.bottom)
        return found


def _volts(winding: Winding) -> str:
    return "" if winding.rated_voltage is None else show(winding.rated_voltage, "V", 3)
