"""Readings of a unit without a design as numbers that are compared, and what it read, or should have read, before."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.acceptance.decision import Verdict
from bench.acceptance.report import value_text
from bench.acceptance.result import StepResult
from bench.diagnosis.evidence import Evidence, Kind, Observed
from bench.diagnosis.without_design.core_change import AsItWas, as_it_was
from bench.diagnosis.without_design.known import Known
from bench.diagnosis.without_design.readings import Read, What

__all__ = ["Compared", "compare"]

_UNITS = {What.OHMS: "ohm", What.VOLTS: "1", What.AMPS: "A", What.WATTS: "W"}
_KINDS = {What.OHMS: Kind.OHMS, What.VOLTS: Kind.TURNS, What.AMPS: Kind.AMPS, What.WATTS: Kind.WATTS}


@dataclass(frozen=True)
class Compared:
    """rows: the readings that are compared, as many as `evidence` has numbers;  was: of amps and watts, the core as
    found at their volts;  opened, whole: windings whose ohms were over the range, and those with ohms;  lines: each
    reading beside what it is compared with;  left_out: readings that nothing can be compared with, and why."""

    rows: tuple[Read, ...]
    evidence: Evidence
    was: dict[float, AsItWas]
    opened: tuple[str, ...]
    whole: tuple[str, ...]
    fed_ohms: float | None
    lines: tuple[str, ...]
    left_out: tuple[str, ...]

    def has(self, what: What) -> bool:
        return any(one.what is what for one in self.rows)


def compare(readings: tuple[Read, ...], known: Known) -> Compared:
    """Each reading beside what the job knows of the same thing."""
    rows: list[Read] = []
    lines: list[str] = []
    left_out: list[str] = []
    was: dict[float, AsItWas] = {}
    for one in readings:
        label = _label(one)
        if one.value is None:
            lines.append(f"{label}: over the meter's range")
            continue
        beside, why = _beside(one, known)
        shown = f"{label}: {_shown(one)}"
        if why:
            left_out.append(f"{shown}, {why}")
            continue
        rows.append(one)
        lines.append(f"{shown}, {beside}")
        if one.what in (What.AMPS, What.WATTS):
            point = as_it_was(known.curve, one.fed)
            assert point is not None
            was[one.fed] = point
    ohms = [one for one in readings if one.what is What.OHMS]
    own = [one.value.value for one in ohms if one.winding == known.shown.fed and one.value is not None]
    return Compared(
        tuple(rows),
        Evidence(tuple(_observed(one) for one in rows)),
        was,
        tuple(one.winding for one in ohms if one.value is None),
        tuple(one.winding for one in ohms if one.value is not None),
        own[0] if own else None,
        tuple(lines),
        tuple(left_out),
    )


def _beside(one: Read, known: Known) -> tuple[str, str]:
    """What it is compared with in words, and why it can't be compared; one of them is empty."""
    match one.what:
        case What.OHMS:
            if one.winding not in known.ohms:
                return "", "with no ohms as found it tells only that the winding is not open"
            ohms = known.ohms[one.winding]
            return f"{_BASES[ohms.basis]} {value_text(ohms.ohms, 'ohm')}", ""
        case What.VOLTS:
            if one.winding not in known.ratios:
                return "", "and neither its volts as found nor its nameplate with that of the fed winding are known"
            ratio = known.ratios[one.winding]
            volts = value_text(ratio.ratio * one.fed, "V")
            return f"{_BASES[ratio.basis]} {volts}", ""
        case What.AMPS | What.WATTS:
            point = as_it_was(known.curve, one.fed)
            if point is None:
                return "", _no_curve(known)
            if one.what is What.AMPS:
                return f"as found {value_text(point.current, 'A')}", ""
            if point.watts is None:
                return "", "no watts were read as found at these volts"
            return f"as found {value_text(point.watts, 'W')}", ""


_BASES = {
    "as found": "as found",
    "sheet": "by its sheet",
    "nameplate": "by the nameplate and the usual regulation about",
}


def _no_curve(known: Known) -> str:
    if not known.curve:
        return "no exciting curve as found is known to compare it with"
    first, last = known.curve[0].voltage, known.curve[-1].voltage
    reach = f"at {first:g} V" if len(known.curve) == 1 else f"from {first:g} V to {last:g} V"
    return f"the exciting curve as found was read {reach} only"


def _label(one: Read) -> str:
    match one.what:
        case What.OHMS:
            return f"resistance of {one.winding}"
        case What.VOLTS:
            return f"volts of {one.winding} at {one.fed:g} V"
        case What.AMPS:
            return f"exciting current at {one.fed:g} V"
        case What.WATTS:
            return f"watts at {one.fed:g} V"


def _shown(one: Read) -> str:
    assert one.value is not None
    if one.what is What.VOLTS:
        return value_text(one.volts, "V")
    return value_text(one.value.value, _UNITS[one.what])


def _observed(one: Read) -> Observed:
    assert one.value is not None
    value = one.value.value
    step = StepResult(
        id=f"{one.what}:{one.winding}", label=_label(one), quantity=str(one.what), winding=one.winding,
        measured=value, state="good", unit=_UNITS[one.what], verdict=Verdict.ACCEPTED, u=one.value.u,
        components=one.value.components, at_volts=one.fed or None, note="typed",
    )  # fmt: skip
    return Observed(_KINDS[one.what], one.winding, step, math.log(value), 1 / value)
