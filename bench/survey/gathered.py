"""What the job file says of the unit as found, brought together with what was kept in the record since."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from bench.job.as_found import (
    AsFound,
    CurrentRatio,
    CurvePoint,
    FoundInsulation,
    FoundResistance,
    FoundVolts,
    FoundWinding,
)
from bench.job.fields import Hertz, Model
from bench.survey.evidence import Counted

__all__ = ["AS_FOUND", "STRIPPED", "Gathered", "gather", "lead_names", "same_but_for_capitals"]

AS_FOUND = "as found"
"""Kind of an entry that holds one reading, or one winding, as found.

Its body: `part`, the key of [as_found] to which it belongs, and the fields of that part as they were typed; with the
first point of an exciting curve that takes the place of all earlier ones, `anew`. One that takes a reading out holds
the fields that say which, and in `withdrawn` how it read."""
STRIPPED = "stripped"
"""Kind of the entry that ends the stripping of a winding: winding, turns, within, how."""


@dataclass(frozen=True)
class Gathered:
    """found: everything as found;  counted: while stripping;  left_out: what fits no winding as found, a line each;
    bodies: of the record's readings that stand, by part and winding (for volts fed winding and winding; for a point
    of the curve fed winding, hertz and volts);  named_by_record: whether the windings are those of the record."""

    found: AsFound
    counted: tuple[Counted, ...]
    left_out: tuple[str, ...] = ()
    bodies: Mapping[tuple[str, ...], Mapping[str, Any]] = field(default_factory=dict)
    named_by_record: bool = False


def gather(found: AsFound | None, entries: Iterable[tuple[str, Mapping[str, Any]]]) -> Gathered:
    """The job file's part and (kind, body) of the record's entries in their order.

    An entry of the record is newer than the file: it takes the place of the file's reading of the same winding (of the
    same two windings for volts, of the same volts for a point of the exciting curve), and of its own forerunner. The
    windings themselves are those of the file, where it has any: there they hold wire, taps and leads. A winding that
    was counted while it was stripped has that count; one that is not off whole has none. Raises nothing for an entry
    that fits no winding as found, since what is in the record can't be mended: it is left out and told. A name that
    differs from a winding's in capitals only is that winding's, where it fits no other.
    """
    entries = list(entries)
    base = found or AsFound()
    windings = base.winding or _named(entries)
    known = {name for one in windings for name in lead_names(one)}
    record = _Record()
    for kind, body in entries:
        record.take(kind, _by_known_names(body, known))
    parts: dict[str, Any] = {"winding": windings}
    curve = [one for one in record.curve if one[0].fed in known]
    if curve:
        parts |= _curve(base, curve, record.curve_anew)
        base = base.model_copy(update={"volts": tuple(_at(one, base.frequency) for one in base.volts)})
    parts |= _newest(base, record, known)
    counted, left = _counts(record, windings)
    parts["winding"] = tuple(_with_count(one, counted) for one in windings)
    return Gathered(
        base.model_copy(update=parts),
        tuple(counted.values()),
        (*record.problems, *record.without(known), *left),
        {
            key: body
            for key, body in record.bodies.items()
            if set(key[1:2] if key[0] == "exciting" else key[1:]) <= known
        },
        bool(windings) and not base.winding,
    )


def lead_names(winding: FoundWinding) -> tuple[str, ...]:
    """Names under which a winding is read: its own, and, with taps, those of its sections."""
    sections = (*(tap.name for tap in winding.taps), "finish") if winding.taps else ()
    return (winding.name, *(f"{winding.name}.{lead}" for lead in sections))


def same_but_for_capitals(name: str, known: Iterable[str]) -> str | None:
    """The one of `known` that is this name, or differs from it in capitals only; None where none does, or several."""
    names = list(known)
    alike = [one for one in names if one.casefold() == name.casefold()]
    if name in names:
        return name
    return alike[0] if len(alike) == 1 else None


def _named(entries: list[tuple[str, Mapping[str, Any]]]) -> tuple[FoundWinding, ...]:
    """The windings of the record."""
    record = _Record()
    for kind, body in entries:
        if kind == AS_FOUND and body.get("part") == "winding":
            record.take(kind, body)
    return tuple(record.windings.values())


def _by_known_names(body: Mapping[str, Any], known: set[str]) -> Mapping[str, Any]:
    called = {key: str(body[key]) for key in ("winding", "fed") if key in body}
    return {**body, **{key: same_but_for_capitals(name, known) or name for key, name in called.items()}}


class _PointOfCurve(Model):
    """What a point of the exciting curve needs beside itself."""

    fed: str
    frequency: Hertz


_PARTS: dict[str, type[Model]] = {
    "insulation": FoundInsulation,
    "resistance": FoundResistance,
    "volts": FoundVolts,
    "current_ratio": CurrentRatio,
}


@dataclass
class _Record:
    """Of each thing the newest entry."""

    windings: dict[str, FoundWinding] = field(default_factory=dict)
    insulation: dict[str, FoundInsulation] = field(default_factory=dict)
    resistance: dict[str, FoundResistance] = field(default_factory=dict)
    volts: dict[tuple[str, str], FoundVolts] = field(default_factory=dict)
    current_ratio: dict[str, CurrentRatio] = field(default_factory=dict)
    curve: list[tuple[_PointOfCurve, CurvePoint]] = field(default_factory=list)
    curve_anew: bool = False
    counted: dict[str, Counted] = field(default_factory=dict)
    bodies: dict[tuple[str, ...], Mapping[str, Any]] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)

    def take(self, kind: str, body: Mapping[str, Any]) -> None:
        try:
            if kind == AS_FOUND:
                self._part(dict(body))
            elif kind == STRIPPED:
                name = str(body["winding"])
                self.counted[name] = Counted(name, float(body["turns"]), float(body["within"]), str(body["how"]))
        except (KeyError, TypeError, ValidationError, ValueError) as problem:
            self.problems.append(f"an entry {kind!r} of the record can't be read: {str(problem).splitlines()[0]}")

    def _part(self, body: dict[str, Any]) -> None:
        kept = dict(body)
        part = body.pop("part")
        withdrawn = "withdrawn" in body
        if part == "winding" and body.get("taken_back"):
            self.windings.clear()
        elif part == "winding":
            winding = FoundWinding.model_validate(body)
            self.windings[winding.name] = winding
        elif part == "exciting":
            self._point(body, kept, withdrawn=withdrawn)
        elif part in _PARTS:
            key = (str(body["fed"]), str(body["winding"])) if part == "volts" else (str(body["winding"]),)
            self._reading(part, key, None if withdrawn else body, kept)
        else:
            raise ValueError(f"part {part!r}, expected a key of [as_found]")

    def _reading(self, part: str, key: tuple[str, ...], body: dict[str, Any] | None, kept: Mapping[str, Any]) -> None:
        of_part: dict[Any, Any] = getattr(self, part)
        own = key if len(key) > 1 else key[0]
        if body is None:
            of_part.pop(own, None)
            self.bodies.pop((part, *key), None)
        else:
            of_part[own] = _PARTS[part].model_validate(body)
            self.bodies[(part, *key)] = kept

    def _point(self, body: dict[str, Any], kept: Mapping[str, Any], *, withdrawn: bool) -> None:
        anew = body.pop("anew", False) is True
        beside = _PointOfCurve.model_validate({key: body.pop(key) for key in ("fed", "frequency")})
        if withdrawn:
            # Only where it lies on the curve is asked for.
            body = {"voltage": body["voltage"], "current": "1 A"}
        point = CurvePoint.model_validate(body)
        key = ("exciting", beside.fed, f"{beside.frequency:g}", f"{point.voltage:g}")
        if anew:
            self.curve, self.curve_anew = [], True
            self.bodies = {one: kept for one, kept in self.bodies.items() if one[0] != "exciting"}
        if withdrawn:
            self.curve = [one for one in self.curve if (one[0], one[1].voltage) != (beside, point.voltage)]
            self.bodies.pop(key, None)
        else:
            self.curve.append((beside, point))
            self.bodies[key] = kept

    def without(self, known: set[str]) -> list[str]:
        """A line for each reading of a winding that is not among those as found."""
        lost = [
            *(f"insulation of {name}" for name in self.insulation if name not in known),
            *(f"resistance of {name}" for name in self.resistance if name not in known),
            *(f"volts of {two} against {one}" for one, two in self.volts if not {one, two} <= known),
            *(f"current ratio of {name}" for name in self.current_ratio if name not in known),
            *sorted({f"exciting current of {one.fed}" for one, _ in self.curve if one.fed not in known}),
        ]
        return [f"{what} is in the record, and no such winding is among those as found" for what in lost]


def _newest(base: AsFound, record: _Record, known: set[str]) -> dict[str, Any]:
    insulation = {name: one for name, one in record.insulation.items() if name in known}
    resistance = {name: one for name, one in record.resistance.items() if name in known}
    volts = {pair: one for pair, one in record.volts.items() if set(pair) <= known}
    ratios = {name: one for name, one in record.current_ratio.items() if name in known}
    return {
        "insulation": (*(o for o in base.insulation if o.winding not in insulation), *insulation.values()),
        "resistance": (*(o for o in base.resistance if o.winding not in resistance), *resistance.values()),
        "volts": (*(o for o in base.volts if (o.fed, o.winding) not in volts), *volts.values()),
        "current_ratio": (*(o for o in base.current_ratio if o.winding not in ratios), *ratios.values()),
    }


def _at(volts: FoundVolts, frequency: float | None) -> FoundVolts:
    """With the file's frequency written in: the curve that was read since may be of another one."""
    return volts if volts.frequency is not None else volts.model_copy(update={"frequency": frequency})


def _curve(base: AsFound, recorded: list[tuple[_PointOfCurve, CurvePoint]], anew: bool) -> dict[str, Any]:
    """Points of one winding at one frequency, those of the newest entry; the file's too where they are of the same,
    unless the whole curve was read anew: its points lie close beside those of the file, at volts of their own."""
    newest = recorded[-1][0]
    same = not anew and base.fed == newest.fed and base.frequency == newest.frequency
    points = {one.voltage: one for one in base.exciting} if same else {}
    points |= {one.voltage: one for beside, one in recorded if beside == newest}
    return {
        "fed": newest.fed,
        "winding_turns": base.winding_turns if base.fed == newest.fed else None,
        "frequency": newest.frequency,
        "exciting": tuple(points[volts] for volts in sorted(points)),
    }


def _counts(record: _Record, windings: tuple[FoundWinding, ...]) -> tuple[dict[str, Counted], list[str]]:
    own = {one.name for one in windings if not one.search_coil}
    left = [
        f"{name} is recorded as stripped with {one.turns:g} turns, and no such winding is among those as found"
        for name, one in record.counted.items()
        if name not in own
    ]
    return {name: one for name, one in record.counted.items() if name in own}, left


def _with_count(winding: FoundWinding, counted: dict[str, Counted]) -> FoundWinding:
    """With the turns as counted while stripping."""
    one = counted.get(winding.name)
    if one is None:
        return winding
    return winding.model_copy(update={"turns": one.turns, "turns_within": one.within})
