"""What a survey says: the values that the command line, the dashboard and a record show."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

from bench.job.model import Job
from bench.survey.bearing import Bearing
from bench.survey.copper_turns import CopperTurns
from bench.survey.curve_answer import CurveAnswer
from bench.survey.evidence import Counted
from bench.survey.first_volts import FirstVolts
from bench.survey.flux import Flux
from bench.survey.interval import Interval
from bench.survey.nameplate import NameplateNote
from bench.survey.rating import PowerEstimate
from bench.survey.slips import Explanation, SlipKind
from bench.survey.steel_fit import SteelFit

__all__ = ["Survey", "WindingFound"]


@dataclass(frozen=True)
class WindingFound:
    """One winding: its count, the turns to expect from everything but that count, and how far the two lie apart.

    expected_from: what the expectation rests on: `readings and counts`, or its copper, or a first guess.
    """

    name: str
    counted: Counted | None
    expected: Interval | None
    expected_from: str
    residue: Interval | None
    copper: tuple[CopperTurns, ...]
    resistance: Interval | None
    nameplate: float | None
    search_coil: bool

    @property
    def copper_apart(self) -> float | None:
        """Turns by the surest way of its copper over those counted or expected, where that is half or twice."""
        if not self.copper:
            return None
        turns = self.counted.turns if self.counted is not None else None
        if turns is None and self.expected is not None and self.expected_from == "readings and counts":
            turns = self.expected.value
        if turns is None or 0.5 < self.copper[0].turns.value / turns < 2:
            return None
        return self.copper[0].turns.value / turns

    @property
    def agrees(self) -> bool:
        """Whether count and expectation lie within their doubt of each other."""
        return self.residue is None or abs(self.residue.value) <= self.residue.expanded


@dataclass(frozen=True)
class Survey:
    """turns_per_volt: turns over open-circuit volts with the nominal `volts` of the supply it was made for on the
    winding `reference`;  insulation_limits [ohm]: below the first nothing is fed, from the second on a winding is dry;
    slips: explanations, likeliest first;  alike: those among them that no reading can tell from the likeliest;
    more_than_one: whether counts and volts don't fit even under the likeliest."""

    windings: tuple[WindingFound, ...]
    turns_per_volt: Interval | None
    reference: str
    reference_volts: float | None
    slips: tuple[Explanation, ...]
    alike: tuple[Explanation, ...]
    more_than_one: bool
    next_winding: str | None
    insulation: dict[str, float]
    insulation_missing: tuple[str, ...]
    insulation_limits: tuple[float, float]
    flux: Flux | None
    curve: CurveAnswer | None
    steels: tuple[SteelFit, ...]
    bearings: tuple[Bearing, ...]
    nameplates: tuple[NameplateNote, ...]
    label_power: float | None
    label_is_written: bool
    powers: tuple[PowerEstimate, ...]
    first: FirstVolts | None
    job: Job
    missing: tuple[str, ...]

    @property
    def disagrees(self) -> bool:
        """Whether something does not fit: a slip is likelier than none, or a winding lies apart from all the rest."""
        likely = bool(self.slips) and self.slips[0].kind is not SlipKind.NONE
        apart = any(not one.agrees or one.copper_apart is not None for one in self.windings)
        return likely or self.more_than_one or apart

    @property
    def whole(self) -> bool:
        """Whether every winding of the unit is counted and turns per volt stand."""
        own = [one for one in self.windings if not one.search_coil]
        return self.turns_per_volt is not None and bool(own) and all(one.counted is not None for one in own)

    def winding(self, name: str) -> WindingFound:
        """Raises KeyError."""
        for one in self.windings:
            if one.name == name:
                return one
        raise KeyError(name)

    def u_turns(self, winding: str) -> float | None:
        """u [turns] of a winding or section under the likeliest explanation; None where it is none of them."""
        if not self.slips or winding not in self.slips[0].posterior.windings:
            return None
        posterior = self.slips[0].posterior
        return posterior.turns(winding) * posterior.u_log(winding)

    def as_json(self) -> dict[str, Any]:
        """Plain values, schema 1."""
        plain = {
            field.name: _plain(getattr(self, field.name))
            for field in dataclasses.fields(self)
            if field.name not in ("job", "alike", "slips")
        }
        slips = [_slip_json(one) for one in self.slips if one.probability > 0.005]
        return {"schema": 1, "job": self.job.identity.number, **plain, "slips": slips}


def _slip_json(one: Explanation) -> dict[str, Any]:
    return {
        "kind": str(one.kind),
        "winding": one.winding,
        "size": one.size,
        "u_size": one.u_size,
        "probability": round(one.probability, 4),
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Interval):
        return value.as_json()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return value
