"""The readings on a unit as found, in the order of least risk: what is asked, and what becomes of what was typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from bench.acceptance.cautions import Hazard
from bench.job.as_found import AsFound, PlateVolts
from bench.job.fields import Amps, Hertz, Kelvin, Ohms, TypedOhms, TypedVolts, Volts, Watts
from bench.job.winding import Name, Role
from bench.quantities import Dimension, parse, show
from bench.records.entry import Kind
from bench.sitting.typed_value import TypedValue, is_overload, typed_value
from bench.survey.gathered import lead_names
from bench.survey.plausible import (
    doubt_of_amps,
    doubt_of_fed_volts,
    doubt_of_insulation,
    doubt_of_ohms,
    doubt_of_tester,
    doubt_of_volts,
    doubt_of_watts,
)

if TYPE_CHECKING:
    from bench.sitting.survey_known import KnownSoFar

__all__ = ["DueReading", "TypedReading", "gate_lines", "readings_due", "typed_reading", "typed_winding", "withdrawn"]

_ROLES = {"p": Role.PRIMARY, "primary": Role.PRIMARY, "s": Role.SECONDARY, "secondary": Role.SECONDARY}
_HIGH_VOLTS = 300.0


@dataclass(frozen=True)
class DueReading:
    """part: the key of [as_found] it belongs to;  winding: as it is read, a section as `ht.centre`;  fed: the winding
    that is fed for it, empty with nothing fed;  asks: line by line;  kept: how it reads already, empty where it does
    not;  in_record: whether that can be withdrawn;  usual: what an empty line stands for, by the key of a field."""

    part: str
    winding: str
    fed: str
    asks: tuple[str, ...]
    kept: str
    in_record: bool
    hazards: tuple[Hazard, ...]
    usual: Mapping[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """What it is, in a few words."""
        match self.part:
            case "insulation":
                return f"insulation of {self.winding}"
            case "resistance":
                return f"resistance of {self.winding}"
            case "volts":
                return f"volts of {self.winding}, {self.fed} fed"
        return f"exciting current of {self.winding}"


@dataclass(frozen=True)
class TypedReading:
    """bodies: what is kept of it, by kind;  words: how it reads;  doubt: why it can hardly be meant, empty where it
    can: then it counts only once a person says so."""

    bodies: tuple[tuple[Kind, dict[str, Any]], ...]
    words: str
    doubt: str = ""


def readings_due(known: KnownSoFar) -> tuple[DueReading, ...]:
    """All that is read while the unit is whole, those with nothing fed first; empty while no winding is named."""
    found = known.gathered.found
    own = [one for one in found.winding if not one.search_coil]
    if not own:
        return ()
    due = [_insulation_due(known, one.name) for one in own]
    due += [_resistance_due(known, name) for one in own for name in lead_names(one)]
    fed = _usually_fed(known)
    hazards = (Hazard.LOW_VOLTS, Hazard.MAINS, *_high(found))
    hertz = _last(known, ("volts", "exciting"), "frequency")
    for name in (name for one in found.winding for name in lead_names(one) if name != fed):
        due.append(_volts_due(known, fed, name, hertz, hazards))
    primary = next((one.name for one in own if one.role is Role.PRIMARY), fed)
    curve = found.exciting if found.fed == primary else ()
    asks = (
        f"volts on {primary}",
        "current there, such as 46.2 mA",
        "watts, such as 2.8 W; Enter: not read",
        _with_usual("frequency, such as 50 Hz", hertz),
    )
    kept = f"{len(curve)} points to {max(one.voltage for one in curve):g} V" if curve else ""
    usual = {"frequency": hertz} if hertz else {}
    due.append(DueReading("exciting", primary, primary, asks, kept, False, (*hazards, Hazard.AMMETER), usual))
    return tuple(due)


def typed_reading(known: KnownSoFar, due: DueReading, answers: tuple[str, ...], refuse: float) -> TypedReading:
    """Of the lines that `due` asks; raises ValueError for one that is none.  refuse [ohm]: below it nothing is fed."""
    match due.part:
        case "insulation":
            return _insulation(due, answers, refuse)
        case "resistance":
            return _resistance(known, due, answers)
        case "volts":
            return _volts(known.gathered.found, due, answers)
    return _point(known, due, answers)


def typed_winding(known: KnownSoFar, answers: tuple[str, ...]) -> TypedReading:
    """Name, role and volts by the plate of one winding more, inside first; raises ValueError."""
    name, role, plate = answers
    found = known.gathered.found
    if found.winding and not known.gathered.named_by_record:
        raise ValueError("the job file names the windings, expected another [[as_found.winding]] there")
    name = typed_value(name, Name).text
    if name.casefold() in {one.name.casefold() for one in found.winding}:
        raise ValueError(f"{name!r} is named already, expected another name")
    primary = found.primary
    usual = "p" if primary is None and name.lower().startswith("p") else "s"
    taken = _ROLES.get((role or usual).lower())
    if taken is None:
        raise ValueError(f"{role[:40]!r}: expected p for primary or s for secondary")
    if taken is Role.PRIMARY and primary is not None:
        raise ValueError(f"{primary.name} is the primary already, expected s for {name}")
    body: dict[str, Any] = {"part": "winding", "name": name, "role": str(taken)}
    if plate:
        body["nameplate_voltage"] = typed_value(plate, PlateVolts, "V").text
    return TypedReading(((Kind.AS_FOUND, body),), f"{name}, {taken}")


def withdrawn(due: DueReading) -> TypedReading:
    """What takes the reading out that is kept in the record."""
    which = {"fed": due.fed} if due.part == "volts" else {}
    body = {"part": due.part, **which, "winding": due.winding, "withdrawn": due.kept}
    return TypedReading(((Kind.AS_FOUND, body),), f"{due.name}: {due.kept} withdrawn")


def gate_lines(known: KnownSoFar, refuse: float) -> list[str]:
    """Why nothing may be fed: insulation [ohm] that is below `refuse`, or was not read; empty where it may."""
    found = known.gathered.found
    own = [one.name for one in found.winding if not one.search_coil]
    read = {one.winding: one.resistance for one in found.insulation}
    low = [name for name in own if read.get(name, refuse) < refuse]
    unread = [name for name in own if name not in read]
    lines = []
    if low:
        lines.append(
            f"Insulation of {', '.join(low)} is below {refuse / 1e6:g} Mohm: nothing is fed before it is "
            "dried and read again, or stripped."
        )
    if unread:
        lines.append(f"Insulation of {', '.join(unread)} was not read: nothing is fed before it is.")
    return lines


# -- what is due -----------------------------------------------------------------------------------


def _insulation_due(known: KnownSoFar, name: str) -> DueReading:
    read = next((one for one in known.gathered.found.insulation if one.winding == name), None)
    volts = _last(known, ("insulation",), "test_voltage")
    asks = (
        f"{name} to all the rest and the core, such as 85 Mohm or > 2000 Mohm",
        _with_usual("volts of the tester, such as 500 V", volts),
    )
    return DueReading(
        "insulation",
        name,
        "",
        asks,
        "" if read is None else show(read.resistance, "ohm", 3),
        ("insulation", name) in known.gathered.bodies,
        (Hazard.INSULATION_TESTER,),
        {"test_voltage": volts} if volts else {},
    )


def _resistance_due(known: KnownSoFar, name: str) -> DueReading:
    read = next((one for one in known.gathered.found.resistance if one.winding == name), None)
    warm = _last(known, ("resistance",), "temperature")
    asks = (
        f"{name}, less what the leads read, such as 107.30 ohm; OL: open",
        _with_usual("temperature of its copper, such as 21 degC", warm),
    )
    return DueReading(
        "resistance",
        name,
        "",
        asks,
        "" if read is None else show(read.resistance.value, "ohm", 4),
        ("resistance", name) in known.gathered.bodies,
        (Hazard.KICK,),
        {"temperature": warm} if warm else {},
    )


def _volts_due(known: KnownSoFar, fed: str, name: str, hertz: str, hazards: tuple[Hazard, ...]) -> DueReading:
    read = next((one for one in known.gathered.found.volts if (one.fed, one.winding) == (fed, name)), None)
    asks = (
        f"volts on {fed} at the same moment",
        f"volts of {name}",
        _with_usual("frequency, such as 50 Hz", hertz),
    )
    kept = "" if read is None else f"{show(read.voltage.value, 'V', 4)} at {show(read.fed_voltage.value, 'V', 4)}"
    usual = {"frequency": hertz} if hertz else {}
    return DueReading("volts", name, fed, asks, kept, ("volts", fed, name) in known.gathered.bodies, hazards, usual)


def _usually_fed(known: KnownSoFar) -> str:
    """As it was fed so far, else where first volts are safest, else the primary."""
    found = known.gathered.found
    if found.volts:
        return found.volts[-1].fed
    if known.survey is not None and known.survey.first is not None:
        return known.survey.first.winding
    return (found.primary or found.winding[0]).name


def _high(found: AsFound) -> tuple[Hazard, ...]:
    plates = [one.nameplate_voltage for one in found.winding if one.nameplate_voltage is not None]
    return (Hazard.HIGH_VOLTS,) if max(plates, default=0.0) > _HIGH_VOLTS else ()


def _last(known: KnownSoFar, parts: tuple[str, ...], key: str) -> str:
    """What was typed for it last, as the record has it."""
    kept = [str(body[key]) for which, body in known.gathered.bodies.items() if which[0] in parts and key in body]
    return kept[-1] if kept else ""


def _with_usual(asked: str, usual: str) -> str:
    return f"{asked}; Enter: {usual}" if usual else f"{asked}; Enter: not said"


# -- what was typed --------------------------------------------------------------------------------


def _insulation(due: DueReading, answers: tuple[str, ...], refuse: float) -> TypedReading:
    ohms = _needed(answers[0], Ohms, "a resistance such as 85 Mohm", clean="> ")
    told = _told(due, "test_voltage", answers[1], Volts, "V")
    doubts = [doubt_of_insulation(ohms.value or 0.0, refuse)]
    if answers[1]:
        doubts.append(doubt_of_tester(typed_value(answers[1], Volts, "V").value or 0.0))
    body = {"part": "insulation", "winding": due.winding, "resistance": ohms.text, **told}
    return _reading(due, body, ohms.text, "; ".join(filter(None, doubts)))


def _resistance(known: KnownSoFar, due: DueReading, answers: tuple[str, ...]) -> TypedReading:
    if is_overload(answers[0]):
        note = (Kind.NOTE, {"text": "resistance as found: over range, open", "winding": due.winding})
        taken = withdrawn(due).bodies if due.in_record else ()
        return TypedReading((*taken, note), f"{due.name}: open")
    ohms = _needed(answers[0], TypedOhms, "a resistance such as 107.30 ohm")
    told = _told(due, "temperature", answers[1], Kelvin)
    body = {"part": "resistance", "winding": due.winding, "resistance": ohms.text, **told, "meter": ""}
    return _reading(due, body, ohms.text, doubt_of_ohms(known.gathered.found, due.winding, ohms.value or 0.0))


def _volts(found: AsFound, due: DueReading, answers: tuple[str, ...]) -> TypedReading:
    fed = _needed(answers[0], TypedVolts, "volts such as 97.75 V", "V")
    volts = _needed(answers[1], TypedVolts, "volts such as 5.575 V", "V")
    told = _told(due, "frequency", answers[2], Hertz, "Hz")
    body = {"part": "volts", "fed": due.fed, "fed_voltage": fed.text, "winding": due.winding, "voltage": volts.text}
    at = (fed.value or 0.0, volts.value or 0.0)
    doubt = doubt_of_fed_volts(found, due.fed, at[0]) or doubt_of_volts(found, due.fed, at[0], due.winding, at[1])
    return _reading(due, {**body, **told, "meter": ""}, f"{volts.text} at {fed.text} on {due.fed}", doubt)


def _point(known: KnownSoFar, due: DueReading, answers: tuple[str, ...]) -> TypedReading:
    volts = _needed(answers[0], Volts, "volts such as 60.2 V", "V")
    amps = _needed(answers[1], Amps, "a current such as 46.2 mA")
    watts = typed_value(answers[2], Watts) if answers[2] else None
    told = _told(due, "frequency", answers[3], Hertz, "Hz")
    if not told:
        raise ValueError("frequency: the exciting curve needs it, expected a frequency such as '50 Hz'")
    body = {"part": "exciting", "fed": due.winding, **told, "voltage": volts.text, "current": amps.text}
    if watts is not None:
        body["power"] = watts.text
    at, taken = volts.value or 0.0, amps.value or 0.0
    hertz = f"{parse(told['frequency'], Dimension.FREQUENCY):g}"
    doubt = doubt_of_fed_volts(known.gathered.found, due.winding, at) or doubt_of_amps(
        at, taken, _near(known, due.winding, hertz, at)
    )
    if watts is not None and not doubt:
        doubt = doubt_of_watts(at, taken, watts.value or 0.0)
    return _reading(due, body, f"{amps.text} at {volts.text}", doubt)


def _near(known: KnownSoFar, fed: str, hertz: str, at: float) -> tuple[float, float] | None:
    """Volts and amps of the point of the record's curve that lies next."""
    points = [
        (parse(str(one["voltage"]), Dimension.VOLTAGE), parse(str(one["current"]), Dimension.CURRENT))
        for key, one in known.gathered.bodies.items()
        if key[:3] == ("exciting", fed, hertz)
    ]
    others = [one for one in points if abs(one[0] / at - 1) > 0.005]
    return min(others, key=lambda one: abs(one[0] / at - 1), default=None)


def _needed(text: str, kind: Any, expected: str, bare: str = "", clean: str = "") -> TypedValue:
    text = text.lstrip(clean) if clean else text
    if not text:
        raise ValueError(f"nothing was typed, expected {expected}")
    return typed_value(text, kind, bare)


def _told(due: DueReading, key: str, text: str, kind: Any, bare: str = "") -> dict[str, str]:
    """The field, as typed or as it was before; nothing where neither says it."""
    text = text or due.usual.get(key, "")
    return {key: typed_value(text, kind, bare).text} if text else {}


def _reading(due: DueReading, body: dict[str, Any], words: str, doubt: str) -> TypedReading:
    return TypedReading(((Kind.AS_FOUND, body),), f"{due.name}: {words}", doubt)
