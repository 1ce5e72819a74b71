"""Everything that a certificate says, gathered from the record of a job: values in words, nothing laid out."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from typing import Any

from bench.diagnosis.faults import explains
from bench.job.model import Job
from bench.job.winding import Winding
from bench.quantities import show
from bench.records.certificate.curve import CurvePoint, curve_points
from bench.records.certificate.readings import Readings, readings_of
from bench.records.entry import Entry, Kind
from bench.records.store import Store

__all__ = ["DECISION_RULE", "MODESTY", "Facts", "NoTestYet", "Row", "facts_of"]

DECISION_RULE = (
    "Accepted inside, rejected outside the limit by a guard band of the expanded uncertainty U, k = 2; undecided "
    "between (JCGM 106). U by the meter's stated accuracy, its last digit, leads, temperature and the drift of the "
    "supply, each of which the record holds."
)
MODESTY = (
    "Tested as listed; this is no statement that the unit complies with any standard, and no type approval. It holds "
    "for this unit as it was then; test again after a repair, a fall or a flood. Not tested: anything that is not "
    "listed, such as induced over-voltage, partial discharge, temperature rise at full load. Local codes and licensed "
    "practice come first."
)

Row = tuple[str, ...]


class NoTestYet(ValueError):
    """The record holds no finished test."""


@dataclass(frozen=True)
class Facts:
    """job: as its file was then;  unit, ratings: (what, value);  windings: name, leads, turns, counted, wire, rated;
    curve: points of the exciting current;  findings: probability, what, what to do;  not_done: steps, reason;
    amendments: when, what;  entry, hash: of the result in the job's chain."""

    job: Job
    date: str
    verdict: str
    workshop: str
    unit: tuple[Row, ...]
    ratings: tuple[Row, ...]
    windings: tuple[Row, ...]
    readings: Readings
    curve: tuple[CurvePoint, ...]
    findings: tuple[Row, ...]
    not_done: tuple[Row, ...]
    instruments: tuple[str, ...]
    amendments: tuple[Row, ...]
    entry: int
    hash: str

    @property
    def seal(self) -> str:
        """What the code in the corner says: with it the record tells whether a tail of it was cut."""
        return f"turnproof record verify {self.job.identity.number} --head {self.hash}"


def facts_of(store: Store, number: str) -> Facts:
    """Of the last finished test, with the job file as it was then.  Raises NoTestYet, RecordProblem."""
    result = store.last(number, Kind.RESULT)
    if result is None:
        raise NoTestYet(f"{number}: no finished test in the record yet")
    entries = [entry for entry in store.landmarks(number) if entry.seq <= result.seq]
    job_entry = next((entry for entry in reversed(entries) if entry.kind == Kind.JOB_FILE), None)
    if job_entry is None:
        raise NoTestYet(f"{number}: the record holds no job file from before its test")
    job = Job.model_validate(tomllib.loads(job_entry.body["text"]))
    counted = {str(one.body.get("winding")): one.body for one in entries if one.kind == Kind.WINDING_DONE}
    steps = result.body["steps"]
    return Facts(
        job=job,
        date=result.at[:10],
        verdict=str(result.body["verdict"]),
        workshop=_workshop(job_entry.body.get("workshop") or {}),
        unit=_unit(job),
        ratings=_ratings(job),
        windings=tuple(_winding(one, counted.get(one.name)) for one in job.winding),
        readings=readings_of(steps),
        curve=curve_points(steps),
        findings=tuple(_finding(one) for one in result.body["findings"]),
        not_done=_not_done(result.body["not_done"]),
        instruments=_instruments(entries, job_entry),
        amendments=_amendments(entries),
        entry=result.seq,
        hash=result.hash,
    )


def _workshop(body: dict[str, Any]) -> str:
    return ", ".join(str(body[key]) for key in ("name", "address", "operator") if body.get(key))


def _unit(job: Job) -> tuple[Row, ...]:
    identity, core = job.identity, job.core
    equipment = " ".join(part for part in (identity.equipment, identity.model) if part)
    rows = [
        ("Equipment", equipment),
        ("Maker", identity.maker),
        ("Serial number", identity.serial),
        ("Owner", identity.owner),
        ("Received", identity.received),
        ("Reason", identity.fault),
    ]
    stack = f"stack {show(core.stack, 'm', 3)}" if core.stack else ""
    rows.append(
        ("Core", ", ".join(str(part) for part in (core.lamination, stack, core.steel, core.interleave) if part))
    )
    screens = "; ".join(f"{one.material or 'screen'} on {one.after}" for one in job.screen)
    rows.append(("Screen", screens or "none"))
    insulation = [
        f"class {job.targets.temperature_class}" if job.targets.temperature_class else "",
        job.insulation.note,
    ]
    rows.append(("Insulation", "; ".join(part for part in insulation if part)))
    return tuple((what, value) for what, value in rows if value)


def _ratings(job: Job) -> tuple[Row, ...]:
    rows = []
    if job.made_for is not None:
        rows.append(("Made for", f"{show(job.made_for.voltage, 'V', 3)}, {job.made_for.frequency:g} Hz"))
    if job.supply is not None:
        supply = job.supply
        within = f", ±{supply.tolerance * 100:.0f} %"
        rows.append(("Rewound for", f"{show(supply.voltage, 'V', 3)}, {supply.frequency:g} Hz{within}"))
    if job.targets.flux_density is not None:
        rows.append(("Flux density", f"{job.targets.flux_density:.2f} T at nominal volts"))
    return tuple(rows)


def _winding(winding: Winding, done: dict[str, Any] | None) -> Row:
    """name, leads, turns as designed, as counted, wire, rated."""
    leads = [str(winding.start)]
    leads += [f"{tap.name} {tap.lead} at {tap.turn}".replace("  ", " ") for tap in winding.taps]
    leads.append(str(winding.finish))
    wire = "" if winding.wire is None else winding.wire.name
    if winding.strands > 1:
        wire += f", {winding.strands} in hand"
    rated = [
        show(value, unit, 3) for value, unit in ((winding.rated_voltage, "V"), (winding.rated_current, "A")) if value
    ]
    turns = "" if winding.turns is None else str(winding.turns)
    return winding.name, " – ".join(part for part in leads if part), turns, _counted(done), wire, ", ".join(rated)


def _counted(done: dict[str, Any] | None) -> str:
    if done is None:
        return ""
    turns, low, high = (done.get(key) for key in ("turns", "low", "high"))
    said = f"{float(turns or 0.0):.1f}"
    if low is None and high is None:
        return f"{said}, not known for certain"
    return said if low == high else f"{said} ({_bound(low)} to {_bound(high)})"


def _bound(value: Any) -> str:
    return "not known" if value is None else f"{float(value):.1f}"


def _finding(one: dict[str, Any]) -> Row:
    rungs = [str(rung) for rung in one.get("rungs") or ()] or [str(one.get("remedy", ""))]
    what_to_do = f"to settle it: {one['check']}; remedy: {rungs[0]}"
    return f"{one['probability'] * 100:.0f} %", explains(one["fault"], one["winding"], one["size"]), what_to_do


def _not_done(body: list[dict[str, Any]]) -> tuple[Row, ...]:
    """Steps that share a reason stand together."""
    by_reason: dict[str, list[str]] = {}
    for one in body:
        by_reason.setdefault(str(one["reason"]), []).append(str(one["id"]))
    return tuple((", ".join(steps), reason) for reason, steps in by_reason.items())


def _instruments(entries: list[Entry], job_entry: Entry) -> tuple[str, ...]:
    """The meter of the last sitting; where several were named by role, each of them."""
    meters = [one for one in entries if one.kind == Kind.INSTRUMENT and one.body.get("what", "meter") == "meter"]
    bodies = [one.body for one in meters]
    roles = {str(one.body["role"]): one.body for one in meters if one.seq > job_entry.seq and "role" in one.body}
    newest = [] if roles and "role" in bodies[-1] else bodies[-1:]
    return tuple(_instrument(body) for body in (*roles.values(), *newest))


def _instrument(body: dict[str, Any]) -> str:
    role = f"Meter for {body['role']}" if body.get("role") else "Meter"
    name = " ".join(str(body[key]) for key in ("name", "identity") if body.get(key))
    serial = f", serial number {body['serial']}" if body.get("serial") else ""
    said = []
    if body.get("calibrated"):
        said.append(f"calibrated {body['calibrated']}")
    if body.get("calibration_due"):
        said.append(f"due {body['calibration_due']}")
    if body.get("certificate"):
        said.append(f"certificate {body['certificate']}")
    return f"{role}: {name}{serial}, {', '.join(said) or 'no calibration on record'}"


def _amendments(entries: list[Entry]) -> tuple[Row, ...]:
    """What was corrected or noted on the way: kept beside what it corrects, never in its place."""
    rows = []
    for one in entries:
        body = one.body
        if one.kind == Kind.CORRECTION and "turns" in body:
            was = f" from {float(body['before']):g}" if body.get("before") is not None else ""
            what = f"{body.get('winding', '')}: count set{was} to {float(body['turns']):g}: {body.get('reason', '')}"
            rows.append((one.at[:10], what))
        elif one.kind == Kind.NOTE:
            winding = f"{body['winding']}: " if body.get("winding") else ""
            rows.append((one.at[:10], f"{winding}{body.get('text', '')}"))
    return tuple(rows)
