"""`turnproof survey JOB --note`, `--photo`: what belongs to a unit as found and is no reading."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.sitting.names import expected_names, meant_name
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.job.model import Job
    from bench.records.store import Store

__all__ = ["Attached", "attach"]


@dataclass(frozen=True)
class Attached:
    """What was given by options: a note, a photograph, the winding that they are of, and what stands by the picture."""

    note: str | None
    photo: Path | None
    of: str | None
    caption: str | None
    on_certificate: bool


def attach(job: Job, store: Store, given: Attached, as_json: bool) -> int:
    """Keep a note, a photograph or both in the record; raises BadInput, InstrumentTrouble, RecordProblem.

    Needs no lock on the job: an entry changes nothing that a counting program relies on.
    """
    from bench.records.attachments import AttachmentRefused
    from bench.records.entry import Kind
    from bench.sitting.attaching import caption_of, keep_picture, location_words, note_of
    from bench.sitting.shared_records import bring_up_to_date

    number = job.identity.number
    told: dict[str, Any] = {} if given.of is None else {"winding": _known(job, store, given.of)}
    of = f" of {told['winding']}" if told else ""
    try:
        text = None if given.note is None else note_of(given.note)
        said: dict[str, Any] = {} if given.caption is None else {"caption": caption_of(given.caption)}
    except BadInput as problem:
        raise BadInput(f"--{problem}") from None
    if given.on_certificate:
        said["on_certificate"] = True
    kept = []
    # The picture first: it may be refused, and then nothing is kept.
    if given.photo is not None:
        try:
            picture = keep_picture(store, number, given.photo, {**told, **said})
        except AttachmentRefused as problem:
            raise BadInput(f"--photo {problem}") from None
        body = picture.body
        marked = ", marked for the certificate" if given.on_certificate else ""
        words = f"{given.photo.name}: kept{of} as entry {picture.seq}, {body['name']}, {body['bytes']} bytes"
        kept.append((picture, f"{words}, {location_words(body)}{marked}"))
    if text is not None:
        bring_up_to_date(store, number)
        note = store.append(number, Kind.NOTE, {"text": text, **told})
        kept.append((note, f"note{of}: kept as entry {note.seq}"))
    for entry, words in kept:
        if as_json:
            click.echo(json.dumps({"schema": 1, "kept": {"seq": entry.seq, "kind": entry.kind, **entry.body}}))
        else:
            click.echo(words)
    return ExitStatus.DONE


def _known(job: Job, store: Store, name: str) -> str:
    """A winding of the unit as found, or of the job; raises BadInput."""
    from bench.survey.gathered import gather

    found = gather(job.as_found, [(one.kind, one.body) for one in store.landmarks(job.identity.number)]).found
    names = list(dict.fromkeys([*(one.name for one in found.winding), *(one.name for one in job.winding)]))
    meant = meant_name(name, names)
    if meant is None:
        raise BadInput(f"--of {name!r}: no winding of the unit, {expected_names(name, names)}")
    return meant
