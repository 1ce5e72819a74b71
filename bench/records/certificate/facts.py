"""Everything that a certificate says, gathered from the record of a job: values in words, nothing laid out."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from bench.diagnosis.faults import explains
from bench.job.model import Identity, Job
from bench.quantities import Dimension, QuantityError, parse, show
from bench.records.attachments import attachments_folder
from bench.records.certificate.cautions import caution_lines
from bench.records.certificate.curve import CurvePoint, curve_points
from bench.records.certificate.instruments import instrument_lines
from bench.records.certificate.notes import note_rows
from bench.records.certificate.ratings import rating_rows
from bench.records.certificate.readings import Readings, readings_of
from bench.records.certificate.unit import Row, unit_rows
from bench.records.certificate.windings import winding_rows
from bench.records.entry import Entry, Kind
from bench.records.pictures import KeptPicture, pictures_of
from bench.records.store import Store
from bench.survey.gathered import gather

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


class NoTestYet(ValueError):
    """The record holds no finished test."""


@dataclass(frozen=True)
class Facts:
    """job: as its file was at the test;  identity: as it is written now;  test: number of the result's entry;
    conditions, unit: (what, value);  ratings: what, as found, as rewound;  windings: as winding_rows gives them;
    curve: points of the exciting current;  findings: probability, what, what to do;  not_done: steps, reason;  notes:
    when, what;  pictures: those that are marked, whose files lie in attachments;  entry, hash: the newest entry of the
    job's chain that is told of."""

    job: Job
    identity: Identity
    test: int
    date: str
    verdict: str
    workshop: str
    conditions: tuple[Row, ...]
    unit: tuple[Row, ...]
    ratings: tuple[Row, ...]
    windings: tuple[Row, ...]
    readings: Readings
    curve: tuple[CurvePoint, ...]
    findings: tuple[Row, ...]
    not_done: tuple[Row, ...]
    instruments: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[Row, ...]
    pictures: tuple[KeptPicture, ...]
    attachments: Path
    entry: int
    hash: str

    @property
    def seal(self) -> str:
        """What the code in the corner says: with it the record tells whether a tail of it was cut."""
        return f"turnproof record verify {self.identity.number} --head {self.hash}"


def facts_of(store: Store, number: str, head: tuple[int, str] | None = None) -> Facts:
    """Of the last finished test, with the job file as it was then, and with what was noted since.

    head: number and hash of the newest entry that is told of; by itself the newest of all.
    Raises NoTestYet, RecordProblem.
    """
    entries = store.landmarks(number)
    if head is not None:
        entries = [entry for entry in entries if entry.seq <= head[0]]
    result = next((entry for entry in reversed(entries) if entry.kind == Kind.RESULT), None)
    if result is None:
        raise NoTestYet(f"{number}: no finished test in the record yet")
    to_test = [entry for entry in entries if entry.seq <= result.seq]
    job_entry = next((entry for entry in reversed(to_test) if entry.kind == Kind.JOB_FILE), None)
    if job_entry is None:
        raise NoTestYet(f"{number}: the record holds no job file from before its test")
    job = Job.model_validate(tomllib.loads(job_entry.body["text"]))
    identity = _identity(job, entries)
    found = gather(job.as_found, [(one.kind, one.body) for one in entries]).found
    steps, verdict = result.body["steps"], str(result.body["verdict"])
    varnished = any(one.kind == Kind.VARNISH for one in to_test)
    newest = (entries[-1].seq, entries[-1].hash) if head is None else head
    return Facts(
        job=job,
        identity=identity,
        test=result.seq,
        date=result.at[:10],
        verdict=verdict,
        workshop=_workshop(job_entry.body.get("workshop") or {}),
        conditions=_conditions(to_test, result),
        unit=unit_rows(job, identity, entries, result.seq),
        ratings=rating_rows(job, found),
        windings=winding_rows(job, found, to_test),
        readings=readings_of(steps),
        curve=curve_points(steps),
        findings=tuple(_finding(one) for one in result.body["findings"]),
        not_done=_not_done(result.body["not_done"]),
        instruments=instrument_lines(to_test, job_entry, steps),
        cautions=caution_lines(job, verdict, steps, varnished),
        notes=note_rows(entries, result.seq),
        pictures=tuple(one for one in pictures_of(entries) if one.on_certificate),
        attachments=attachments_folder(store.path),
        entry=newest[0],
        hash=newest[1],
    )


def _identity(job: Job, entries: Sequence[Entry]) -> Identity:
    """As the newest job file says it: a slip in a name is mended there, and what was tested stays what it was."""
    for entry in reversed(entries):
        if entry.kind != Kind.JOB_FILE:
            continue
        try:
            newest = Identity.model_validate(tomllib.loads(entry.body["text"])["identity"])
        except (KeyError, TypeError, tomllib.TOMLDecodeError, ValidationError):
            continue
        return newest if newest.number == job.identity.number else job.identity
    return job.identity


def _workshop(body: dict[str, Any]) -> str:
    return ", ".join(str(body[key]) for key in ("name", "address", "operator") if body.get(key))


def _conditions(to_test: Sequence[Entry], result: Entry) -> tuple[Row, ...]:
    """From when to when, by which procedure, at which temperature of the room, on which supply."""
    begun = next((one for one in reversed(to_test) if one.kind == Kind.TEST_BEGUN), None)
    since, start = (0, "") if begun is None else (begun.seq, begun.at)
    first, last = (f"{at[:10]} {at[11:16]}" for at in (start, result.at))
    said = [f"{last} UTC" if not start or first == last else f"{first} to {last} UTC"]
    if begun is not None:
        said.append(str(begun.body.get("procedure", "")))
    rooms = [
        str(one.body.get("text", ""))
        for one in to_test
        if one.kind == Kind.ANSWER and one.seq > since and one.body.get("step") == "temperature"
    ]
    if rooms:
        said.append(f"room {_in_celsius(rooms[-1])}")
    hertz = [one for one in result.body["steps"] if one["id"] == "frequency" and one["measured"] is not None]
    if hertz:
        said.append(f"supply {show(hertz[0]['measured'], 'Hz')}, its volts beside each reading")
    return (("Test", ", ".join(part for part in said if part)),)


def _in_celsius(typed: str) -> str:
    """As everywhere else, where it can be read."""
    try:
        return show(parse(typed, Dimension.TEMPERATURE), "K")
    except QuantityError:
        return typed


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
