"""Ohms of a finished winding against its turns and its wire, while it can still be unwound."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from bench.acceptance.cautions import Hazard
from bench.design.plan import PlannedWinding
from bench.estimate import Estimate
from bench.magnetics.copper import ZERO_RESISTANCE_CELSIUS, at_temperature, wire_resistance
from bench.winding.check_values import COVERAGE, Conclusion, Counted, Explanation, Says, conclude, sees
from bench.winding.ohms_causes import OhmsCase, causes_of
from bench.winding.ohms_doubts import (
    CONDUCTIVITY,
    MEAN_STRETCH,
    Reference,
    against,
    geometry_doubts,
    wire_doubts,
)
from bench.winding.wound_length import WoundLength, wound_length
from drivers.reading import Reading, State

__all__ = [
    "CHECK",
    "ROOM_ONLY",
    "Leads",
    "OhmsRead",
    "ResistanceAnswer",
    "check_resistance",
    "from_body",
    "in_parallel",
    "ohms_read",
]

CHECK = "ohms"
"""What the body of such a check is called in the record."""

ROOM_ONLY = 3.0
"""Standard uncertainty of a winding's temperature where only that of the room is known [K] (common practice, no
source): as the acceptance test takes it."""

_LEADS_UNKNOWN, _LEADS_WITHIN = 0.35, 0.15
"""Leads of a hand-held meter that nobody read: 0.2 to 0.5 ohm (studylib.net/doc/18034038)."""

_FAR_TOO_MANY = 100.0
"""Times the ohms that are due: no turns, wire or joint make that, an open winding or a decimal does."""

_TWENTY = 293.15
_KELVIN = 273.15


class Leads(StrEnum):
    """Whether the leads' own ohms are still in what was read."""

    TAKEN_OFF = "taken off"
    STILL_IN = "still in"


@dataclass(frozen=True)
class OhmsRead:
    """What was read on a winding.

    ohms, with its sources of doubt;  leads: by four wires, or zeroed, they are taken off;  lead_ohms: where they are
    still in and were read, both clips on one wire, else what a hand-held meter's leads have is taken off;  temperature
    of the copper [K] and u_temperature, its standard uncertainty.
    """

    ohms: Estimate
    leads: Leads
    temperature: float
    u_temperature: float = ROOM_ONLY
    lead_ohms: Estimate | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.ohms.value) and self.ohms.value >= 0):
            raise ValueError(f"ohms of the winding: {self.ohms.value!r}, expected a number of 0 or more")
        if not (math.isfinite(self.u_temperature) and self.u_temperature >= 0):
            raise ValueError(f"temperature within {self.u_temperature!r} K, expected 0 or more")
        at_temperature(1.0, _TWENTY, self.temperature)

    @property
    def net(self) -> Estimate:
        """Of the winding alone."""
        if self.leads is Leads.TAKEN_OFF:
            return self.ohms
        if self.lead_ohms is not None:
            return self.ohms - self.lead_ohms
        return (self.ohms - _LEADS_UNKNOWN).also("leads", _LEADS_WITHIN / math.sqrt(3.0))


def ohms_read(
    reading: Reading,
    leads: Leads,
    temperature: float,
    u_temperature: float = ROOM_ONLY,
    lead_reading: Reading | None = None,
) -> OhmsRead:
    """From a meter's readings; on one range the meter's offset leaves with the leads.  Raises ValueError for a reading
    that is no number."""
    for one, what in ((reading, "the winding"), (lead_reading, "the leads")):
        if one is not None and one.state is not State.GOOD:
            raise ValueError(f"ohms of {what}: {one.state}, open or the range too low; expected a number")
    lead_ohms = None if lead_reading is None else Estimate.of(lead_reading)
    return OhmsRead(Estimate.of(reading), leads, temperature, u_temperature, lead_ohms)


def in_parallel(strands: Sequence[Estimate]) -> Estimate:
    """Ohms of strands joined at both ends, from the ohms of each by itself.  Raises ValueError."""
    if not strands or any(one.value <= 0 for one in strands):
        raise ValueError("ohms of each strand, expected more than 0 of at least one")
    conductance = Estimate(0.0)
    for one in strands:
        conductance = conductance + Estimate(1.0) / one
    return Estimate(1.0) / conductance


@dataclass(frozen=True)
class ResistanceAnswer:
    """What the ohms of a winding say.

    ohms, u_ohms: of the winding at `temperature` [K], leads taken off;  due [ohm]: at that temperature for the count;
    cold [ohm]: as read, brought to 20 degC;  says: turns by the ohms alone;  sharper: with what the windings named in
    `beside` tell of wire and hand, None where there are none;  conclusion: by the sharper one where there is one;
    sees [turns]: the miscount that would show;  layer: turns of a full one, of `layers` layers;  layers_sum: turns that
    were given layer by layer, None where they were not;  doubts: causes and their u as fractions, largest first;
    reference: for later checks of the same reel, None where this one is none.
    """

    winding: str
    wire: str
    strands: int
    ohms: float
    u_ohms: float
    due: float
    cold: float
    temperature: float
    u_temperature: float
    counted: Counted
    says: Says
    sharper: Says | None
    beside: tuple[str, ...]
    conclusion: Conclusion
    sees: float
    layer: float
    layers: int
    layers_sum: float | None
    causes: tuple[Explanation, ...]
    doubts: tuple[tuple[str, float], ...]
    reference: Reference | None
    leads: Leads

    @property
    def judged(self) -> Says:
        """What the conclusion goes by."""
        return self.says if self.sharper is None else self.sharper

    @property
    def cautions(self) -> tuple[str, ...]:
        """To be told before the ohmmeter goes on."""
        return Hazard.KICK.value[0]

    def as_body(self) -> dict[str, Any]:
        """For the record."""
        return {
            "check": CHECK,
            "winding": self.winding,
            "wire": self.wire,
            "strands": self.strands,
            "ohms": self.ohms,
            "u_ohms": self.u_ohms,
            "due": self.due,
            "cold": self.cold,
            "temperature": self.temperature,
            "u_temperature": self.u_temperature,
            "leads": self.leads.value,
            "count": self.counted.as_body(),
            "says": self.says.as_body(),
            "sharper": None if self.sharper is None else self.sharper.as_body(),
            "beside": list(self.beside),
            "conclusion": self.conclusion.value,
            "sees": self.sees if math.isfinite(self.sees) else None,
            "layer": self.layer,
            "layers": self.layers,
            "layers_sum": self.layers_sum,
            "causes": [one.as_body() for one in self.causes],
            "doubts": [{"cause": cause, "u": u} for cause, u in self.doubts],
            "for_later": None if self.reference is None else self.reference.as_body(),
        }


def from_body(body: Mapping[str, Any]) -> Reference | None:
    """What a later check of the same reel needs of a check in the record; None where that is of no use to it.

    Raises ValueError for a body that is no check or lacks what it should have.
    """
    if "check" not in body:
        raise ValueError("no winding check: 'check' is missing, expected 'ohms', 'volts' or 'strands'")
    later = body.get("for_later")
    return None if body["check"] != CHECK or later is None else Reference.from_body(later)


def check_resistance(
    planned: PlannedWinding,
    read: OhmsRead,
    counted: Counted,
    assembly: Mapping[str, Any],
    *,
    layers: Sequence[float] = (),
    batch: str = "",
    earlier: Sequence[Reference] = (),
) -> ResistanceAnswer:
    """What the ohms of a winding say of its turns, and whether the count agrees.

    assembly: that table of a profile of limits;  layers: turns of each as wound, as planned where not given;  batch:
    of the reel, empty where nobody knows it;  earlier: checks of other windings on this former.

    R = l (1 + x) / (gamma pi/4 d2 strands), l the wire in N turns, layer by layer, brought to the copper's temperature;
    gamma 58.5 MS/m, d the bare diameter, x the usual stretch.  N follows from l by the layers as wound: those further
    out are longer, so a winding of half the ohms has more than half the turns.  Doubts are combined to first order
    (JCGM 100:2008, 5.1.2).  Raises ValueError.
    """
    wire = planned.winding.wire
    if wire is None:
        raise ValueError(f"winding.{planned.name}.wire: missing")
    wound = wound_length(planned, layers)
    net = read.net
    # Ohms of one metre at the temperature of the copper.
    each = wire_resistance(1.0, wire.diameter, planned.winding.strands, CONDUCTIVITY) * (1 + MEAN_STRETCH)
    each = at_temperature(each, _TWENTY, read.temperature)
    due = each * wound.length(counted.turns)
    if net.value > _FAR_TOO_MANY * due:
        raise ValueError(
            f"{planned.name}: {net.value:.3g} ohm where {due:.3g} are due: open, or not this winding; expected up to "
            f"{_FAR_TOO_MANY:g} times as many"
        )
    parts = {
        **wire_doubts(planned, batch),
        **geometry_doubts(planned, wound, counted.turns, assembly),
        f"temperature:{planned.name}": -read.u_temperature / (ZERO_RESISTANCE_CELSIUS + read.temperature - _KELVIN),
    }
    u_fixed = math.sqrt(sum(part**2 for part in parts.values()))
    says = _turns(wound, net.value / each, math.hypot(net.u, max(net.value, 0.0) * u_fixed) / each)
    sharper: Says | None = None
    beside: tuple[str, ...] = ()
    reference: Reference | None = None
    shift, u = 0.0, math.inf
    if net.value > COVERAGE * net.u:
        parts |= {source: part / net.value for source, part in net.parts.items()}
        shift, u = math.log(net.value / due), math.sqrt(sum(part**2 for part in parts.values()))
        excess, u_count = shift, counted.u / counted.turns if counted.bounded else math.inf
        told = against(parts, planned.name, wire.name, batch, earlier)
        if told is not None:
            error, u, beside = told
            shift -= error
            wire_said = net.value / each * math.exp(-error)
            sharper = _turns(wound, wire_said, wire_said * u)
        if counted.bounded:
            reference = Reference(planned.name, wire.name, batch, excess, dict(parts), u_count)
    judged = says if sharper is None else sharper
    one_layer = len(wound.layers) == 1
    conclusion = conclude(judged, counted, wound.full, one_layer)
    causes: tuple[Explanation, ...] = ()
    if conclusion is Conclusion.DISAGREES:
        reference = None
        if math.isfinite(u):
            u = math.hypot(u, counted.u / counted.turns)
            causes = causes_of(
                OhmsCase(
                    shift,
                    u,
                    judged,
                    counted,
                    wound,
                    wire,
                    planned.winding.strands,
                    net.value,
                    read.temperature,
                )
            )
    return ResistanceAnswer(
        winding=planned.name,
        wire=wire.name,
        strands=planned.winding.strands,
        ohms=net.value,
        u_ohms=net.u,
        due=due,
        cold=at_temperature(net.value, read.temperature, _TWENTY),
        temperature=read.temperature,
        u_temperature=read.u_temperature,
        counted=counted,
        says=says,
        sharper=sharper,
        beside=beside,
        conclusion=conclusion,
        sees=sees(judged, counted),
        layer=wound.full,
        layers=len(wound.layers),
        layers_sum=sum(layers) if layers else None,
        causes=causes,
        doubts=_doubts(parts),
        reference=reference,
        leads=read.leads,
    )


def _turns(wound: WoundLength, wire: float, u: float) -> Says:
    """Turns of so much wire [m], with k = 2."""
    low, middle, high = (max(0.0, wire + side * COVERAGE * u) for side in (-1, 0, 1))
    return Says(wound.turns(middle), wound.turns(low), wound.turns(high))


_NAMES = {
    "diameter": "diameter of the wire",
    "copper": "its copper",
    "stretch": "stretch",
    "former and hand": "mean turn",
    "mean turn": "mean turn",
    "height": "mean turn",
    "reel along": "stretch",
    "temperature": "temperature",
    "leads": "leads",
}


def _doubts(parts: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """By what a person knows of, largest first; everything else is the meter's."""
    sums: dict[str, float] = {}
    for source, part in parts.items():
        key = source.rsplit(":", 1)[-1] if source.startswith("wire:") else source.split(":", 1)[0]
        name = _NAMES.get(key, "meter")
        sums[name] = math.hypot(sums.get(name, 0.0), part)
    return tuple(sorted(sums.items(), key=lambda item: -item[1]))
