"""`turnproof survey JOB --note`, `--photo`: what belongs to a unit as found and is no reading."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.sitting.names import expected_names, meant_name
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.job.model import Job
    from bench.records.store import Store

__all__ = ["attach"]


def attach(job: Job, store: Store, note: str | None, photo: Path | None, of: str | None, as_json: bool) -> int:
    """Keep a note, a photograph or both in the record; raises BadInput, InstrumentTrouble, RecordProblem.

    Needs no lock on the job: an entry changes nothing that a counting program relies on.
    """
    from bench.records.attachments import AttachmentRefused, attachments_folder, keep_file
    from bench.records.entry import Kind
    from bench.sitting.attaching import location_words, note_of
    from bench.sitting.shared_records import bring_up_to_date

    of = None if of is None else _known(job, store, of)
    told = {} if of is None else {"winding": of}
    kept: list[dict[str, Any]] = []
    if note is not None:
        try:
            kept.append({"kind": Kind.NOTE, "text": note_of(note), **told})
        except BadInput as problem:
            raise BadInput(f"--{problem}") from None
    if photo is not None:
        try:
            attachment = keep_file(attachments_folder(store.path), photo)
        except AttachmentRefused as problem:
            raise BadInput(f"--photo {problem}") from None
        except OSError as problem:
            raise InstrumentTrouble(f"{attachments_folder(store.path)}: not kept: {problem.strerror}") from None
        kept.append({"kind": Kind.PHOTO, **attachment.as_body(), **told})
    bring_up_to_date(store, job.identity.number)
    for one in kept:
        body = {key: value for key, value in one.items() if key != "kind"}
        entry = store.append(job.identity.number, one["kind"], body)
        if as_json:
            click.echo(json.dumps({"schema": 1, "kept": {"seq": entry.seq, "kind": entry.kind, **body}}))
        else:
            what = f"{body['name']}, {body['bytes']} bytes, {location_words(body)}" if "sha256" in body else "note"
            click.echo(f"{what}{f' of {of}' if of else ''}: kept as entry {entry.seq}")
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
