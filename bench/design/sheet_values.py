"""A winding sheet as values, in SI: what is laid, in which order, of what, and what it should read."""

from __future__ import annotations

from dataclasses import dataclass

from bench.design.former_sizes import FormerSizes
from bench.design.trial_ratio import Trial

__all__ = [
    "LEAD_OUT",
    "SPARE",
    "LayerStep",
    "LeadOut",
    "Ohms",
    "Restack",
    "ScreenStep",
    "Sheet",
    "TapStep",
    "WindingStep",
    "WireReady",
]


SPARE = 0.05
"""Wire to have beside what the turns take: 5 %."""

LEAD_OUT = 0.3
"""Wire of one end brought out [m]; a tap is a loop, two of them (common practice, no source)."""


@dataclass(frozen=True)
class TapStep:
    """A tap in its layer: `turn` from the start of the winding, `in_layer` turns after the layer's own start,
    position [m] from the left flange."""

    name: str
    turn: int
    in_layer: float
    position: float


@dataclass(frozen=True)
class LayerStep:
    """One layer.  total: turns on the winding at its end;  start, end [m] from the left flange;  pitch [m];  traverse:
    `right` or `left`;  empty [m]: of its length that stays bare;  insulation_after [m];  cover: whether that is the
    insulation between windings."""

    number: int
    turns: int
    total: int
    traverse: str
    start: float
    end: float
    pitch: float
    taps: tuple[TapStep, ...]
    empty: float
    insulation_after: float
    cover: bool


@dataclass(frozen=True)
class LeadOut:
    """One end brought out.  end: `start`, a tap's name, `finish`;  flange: `left`, `right`, or empty where the end lies
    within the coil, at `position` [m] from the left flange;  tag, colour, side: as the job has them."""

    end: str
    turn: int
    flange: str
    position: float
    tag: str
    colour: str
    side: str


@dataclass(frozen=True)
class WireReady:
    """Wire of one winding.  overall [m] over the enamel, of grade `grade`, None where not stated;  length [m] that
    the turns take, ready [m] with spare and ends, of each strand;  mass, ready_mass [kg] of copper in all strands."""

    name: str
    diameter: float
    overall: float
    grade: int | None
    strands: int
    length: float
    ready: float
    mass: float
    ready_mass: float


@dataclass(frozen=True)
class Ohms:
    """Resistance of a winding or section at 20 degC, and its standard uncertainty, None where nobody worked it out."""

    of: str
    value: float
    u: float | None


@dataclass(frozen=True)
class WindingStep:
    """One winding.  sense: seen from its start;  pull_low, pull_high [N] on each strand, None outside the maker's
    chart;  volts_between_layers [V rms] at most, at the upper limit of the supply;  outer [m]: height over the leg."""

    name: str
    role: str
    turns: int
    sense: str
    wire: WireReady
    pull_low: float | None
    pull_high: float | None
    layers: tuple[LayerStep, ...]
    leads: tuple[LeadOut, ...]
    volts_between_layers: float | None
    paper: str
    ohms: tuple[Ohms, ...]
    trial: Trial
    outer: float
    note: str


@dataclass(frozen=True)
class ScreenStep:
    """A screen.  width, length [m] of the foil, length with the overlap;  cover [m]: insulation below and above;
    fed, volts, one_turn: the trial that tells an open screen from a closed one;  outer [m]: height over the leg."""

    name: str
    after: str
    material: str
    thickness: float
    width: float
    length: float
    overlap_insulated: bool
    far: str
    cover: float
    tag: str
    colour: str
    side: str
    fed: str
    volts: float
    one_turn: float
    outer: float


@dataclass(frozen=True)
class Restack:
    """stack [m];  interleave: `1x1` and so on, or `butt`;  thickness [m] of a lamination and how many, where known."""

    stack: float
    interleave: str
    thickness: float | None
    laminations: int | None


@dataclass(frozen=True)
class Sheet:
    """room_left [m]: of the window's width, negative where the build does not fit;  build, window_width, window_height
    [m];  margin, between_flanges, between_layers, between_windings [m];  margin_short [m]: what the margin lacks of
    that for reinforced insulation;  not_stated: what was taken for want of an entry."""

    number: str
    name: str
    equipment: str
    supply_volts: float | None
    supply_hertz: float | None
    lamination: str
    window_width: float
    window_height: float
    build: float
    room_left: float
    margin: float
    between_flanges: float
    between_layers: float
    between_windings: float
    margin_short: float
    not_stated: tuple[str, ...]
    former: FormerSizes
    steps: tuple[WindingStep | ScreenStep, ...]
    restack: Restack

    @property
    def fits(self) -> bool:
        """Whether the build goes into the window; what a float may lack is no lack."""
        return self.room_left >= -1e-9

    @property
    def windings(self) -> tuple[WindingStep, ...]:
        return tuple(one for one in self.steps if isinstance(one, WindingStep))

    @property
    def screens(self) -> tuple[ScreenStep, ...]:
        return tuple(one for one in self.steps if isinstance(one, ScreenStep))
