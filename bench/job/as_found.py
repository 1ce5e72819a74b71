"""The unit as found: what was read before it was stripped, and what was counted while it was."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, GetJsonSchemaHandler, model_validator

from bench.job.fields import (
    Amps,
    Count,
    Hertz,
    Kelvin,
    Kilograms,
    Metres,
    Model,
    Ohms,
    TypedAmps,
    TypedOhms,
    TypedVolts,
    VoltAmperes,
    Volts,
    Watts,
)
from bench.job.winding import Lead, Name, Role, Sense, Tap, Winding
from bench.job.wire import WireSize

__all__ = [
    "AsFound",
    "CurrentRatio",
    "CurvePoint",
    "Doubt",
    "FoundInsulation",
    "FoundResistance",
    "FoundVolts",
    "FoundWinding",
]

Turns = Annotated[float, Field(strict=True, ge=1, le=100_000)]


_EACH_SIDE = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*-\s*0\s*-\s*(\d+(?:[.,]\d+)?)\s*(k?V)\s*")


def _both_sides(value: Any) -> Any:
    """The trade's `300-0-300 V` is a winding of 600 V with a tap between."""
    match = _EACH_SIDE.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        return value
    one, other = (float(text.replace(",", ".")) for text in match.groups()[:2])
    return f"{one + other:g} {match.group(3)}"


class _OrBothSides:
    """Tells an editor that `300-0-300 V` will do as well."""

    def __get_pydantic_json_schema__(self, core: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        volts = handler(core)
        both = {"type": "string", "pattern": f"^{_EACH_SIDE.pattern}$", "examples": ["300-0-300 V"]}
        return {
            "description": f"{volts.pop('description')} Or both sides of a centre tap: '300-0-300 V'.",
            "anyOf": [volts, both],
        }


PlateVolts = Annotated[Volts, BeforeValidator(_both_sides), _OrBothSides()]


class FoundTap(Model):
    """A lead brought out on the way; its turn, from the start, is known once the winding came off."""

    name: Name
    turn: Count | None = None
    lead: Lead = Lead()


class FoundWinding(Model):
    """A winding as it came; windings stand in the order in which they lay on the former, inside first.

    turns: as counted, a half turn counts;  turns_within: the count lies within so many turns;  search_coil: a few
    turns put through the window to read volts per turn, no part of the unit;  build, length: height over what lies
    below, and width along the leg;  copper_mass: of the stripped wire.
    """

    name: Name
    role: Role | None = None
    nameplate_voltage: PlateVolts | None = None
    nameplate_current: Amps | None = None
    turns: Turns | None = None
    turns_within: Annotated[float, Field(ge=0, le=1000)] | None = None
    taps: tuple[FoundTap, ...] = ()
    search_coil: bool = False
    wire: WireSize | None = None
    strands: Annotated[int, Field(strict=True, ge=1, le=16)] = 1
    sense: Sense = Sense.CLOCKWISE
    start: Lead = Lead()
    finish: Lead = Lead()
    layers: tuple[Count, ...] = ()
    mean_turn: Metres | None = None
    build: Metres | None = None
    length: Metres | None = None
    copper_mass: Kilograms | None = None
    note: str = ""

    @model_validator(mode="before")
    @classmethod
    def _centre_tap(cls, data: Any) -> Any:
        """`300-0-300 V` on the plate tells of a tap that nobody needs to name."""
        if isinstance(data, dict) and "taps" not in data:
            volts = data.get("nameplate_voltage")
            if isinstance(volts, str) and _EACH_SIDE.fullmatch(volts):
                return {**data, "taps": [{"name": "centre"}]}
        return data

    @model_validator(mode="after")
    def _agrees(self) -> FoundWinding:
        if self.search_coil and self.turns is None:
            raise ValueError(f"search coil {self.name} without turns, expected turns = 5 or so: they are yours")
        if self.layers and self.turns is not None and abs(sum(self.layers) - self.turns) > 1:
            raise ValueError(f"layers of {self.name} add up to {sum(self.layers)}, expected its {self.turns:g} turns")
        return self

    def counted_taps(self, turns: float) -> tuple[Tap, ...]:
        """The taps of a winding of so many turns, once all their turns are counted, rising and below it; else none: a
        tap at a turn that can't be is somebody's slip, and without it the winding still says something."""
        at = [tap.turn for tap in self.taps]
        known = [turn for turn in at if turn is not None]
        if len(known) < len(at) or known != sorted(set(known)) or (known and known[-1] >= turns):
            return ()
        return tuple(Tap(name=tap.name, turn=turn, lead=tap.lead) for tap, turn in zip(self.taps, known, strict=True))

    def as_winding(self, turns: float | None = None) -> Winding | None:
        """As a winding of a design, with `turns` where its own were not counted; None while they are not known."""
        known = self.turns if self.turns is not None else turns
        if known is None or self.role is None:
            return None
        whole = round(known)
        taps = self.counted_taps(whole)
        same = Winding(name=self.name, role=self.role, turns=whole, taps=taps, wire=self.wire, strands=self.strands)
        return same.model_copy(
            update={
                "sense": self.sense,
                "start": self.start,
                "finish": self.finish,
                "rated_voltage": self.nameplate_voltage,
                "rated_current": self.nameplate_current,
                "layers": self.layers if sum(self.layers) == whole else (),
                "mean_turn": self.mean_turn,
            }
        )


class FoundInsulation(Model):
    """Insulation resistance of one winding to all the rest and the core, before anything was fed."""

    winding: Name
    resistance: Ohms
    test_voltage: Volts | None = None


class Doubt(Model):
    """One source of doubt in a reading that a meter gave on its line: u in the source's own unit, and the reading's
    change for a change of it; readings that share a source share the error."""

    source: Annotated[str, Field(min_length=1)]
    u: Annotated[float, Field(ge=0, allow_inf_nan=False)]
    sensitivity: Annotated[float, Field(allow_inf_nan=False)] = 1.0


class FoundResistance(Model):
    """Resistance of a winding, with the temperature of its copper.

    components: where its doubt comes from, where a meter told; else the bench file says how good that meter is.
    """

    winding: str
    resistance: TypedOhms
    temperature: Kelvin | None = None
    meter: str = ""
    components: tuple[Doubt, ...] = ()


class FoundVolts(Model):
    """Open-circuit volts of a winding, and the volts on the fed one at the same moment; part of the volts will do.

    components, fed_components: where their doubt comes from, where a meter told.
    """

    fed: str
    fed_voltage: TypedVolts
    winding: str
    voltage: TypedVolts
    frequency: Hertz | None = None
    meter: str = ""
    components: tuple[Doubt, ...] = ()
    fed_components: tuple[Doubt, ...] = ()


class CurrentRatio(Model):
    """A winding that can't be counted, shorted through an ammeter, while a coil of a few thick turns carries amps."""

    winding: str
    current: TypedAmps
    coil_turns: Turns = 1.0
    coil_current: TypedAmps
    meter: str = ""


class CurvePoint(Model):
    """One point of an exciting curve: volts on the fed winding, amps and watts that it took."""

    voltage: Volts
    current: Amps
    power: Watts | None = None


class AsFound(Model):
    """Everything that was read and counted on the unit as found.

    fed: the winding of the exciting curve, with `winding_turns` where it stands nowhere else;  frequency: of the supply
    at the readings;  temperature: of the copper;  core_kept: whether the same laminations go back in, so that their
    exciting curve holds for the rewound unit.
    """

    fed: str = ""
    winding_turns: Count | None = None
    frequency: Hertz | None = None
    temperature: Kelvin | None = None
    label_power: VoltAmperes | None = None
    core_kept: bool = True
    exciting: tuple[CurvePoint, ...] = ()
    winding: tuple[FoundWinding, ...] = ()
    insulation: tuple[FoundInsulation, ...] = ()
    resistance: tuple[FoundResistance, ...] = ()
    volts: tuple[FoundVolts, ...] = ()
    current_ratio: tuple[CurrentRatio, ...] = ()
    note: str = ""

    @model_validator(mode="after")
    def _names_agree(self) -> AsFound:
        names = [one.name for one in self.winding]
        doubled = {name for name in names if names.count(name) > 1}
        if doubled:
            raise ValueError(f"more than one winding is named {', '.join(sorted(doubled))}")
        if sum(one.role is Role.PRIMARY for one in self.winding) > 1:
            raise ValueError("more than one winding has the role primary, expected one (with taps if need be)")
        known = {*names, *(f"{one.name}.{lead}" for one in self.winding for lead in _sections(one))}
        wanted = [
            *(("insulation", one.winding) for one in self.insulation),
            *(("resistance", one.winding) for one in self.resistance),
            *(("volts", name) for one in self.volts for name in (one.fed, one.winding)),
            *(("current_ratio", one.winding) for one in self.current_ratio),
            *((("fed", self.fed),) if self.fed else ()),
        ]
        for key, name in wanted:
            if name not in known:
                all_names = ", ".join(sorted(known)) or "none yet"
                raise ValueError(f"{key} of {name!r}, expected one of the windings as found: {all_names}")
        if self.exciting and self.frequency is None:
            raise ValueError("frequency: missing, the exciting curve needs it, expected a frequency such as '50 Hz'")
        if self.exciting and not self.fed and self.winding_turns is None:
            raise ValueError("fed: missing, expected the winding that took the exciting current, or winding_turns")
        return self

    def get_winding(self, name: str) -> FoundWinding:
        """The winding of that name, or the one that a section belongs to; raises KeyError."""
        for one in self.winding:
            if one.name == name.partition(".")[0]:
                return one
        raise KeyError(name)

    @property
    def primary(self) -> FoundWinding | None:
        return next((one for one in self.winding if one.role is Role.PRIMARY), None)

    @property
    def curve_turns(self) -> float | None:
        """Turns of the winding that took the exciting current; None while they are not counted."""
        if self.winding_turns is not None:
            return float(self.winding_turns)
        return next((one.turns for one in self.winding if one.name == self.fed), None)


def _sections(one: FoundWinding) -> tuple[str, ...]:
    """A section is named after the lead that ends it."""
    return (*(tap.name for tap in one.taps), "finish") if one.taps else ()
