"""A note or a picture for a job's record; needs no lock on the job, since it changes nothing that others rely on."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.records.attachments import attachments_folder, keep_file
from bench.records.entry import Entry, Kind
from bench.sitting.problems import BadInput, InstrumentTrouble
from bench.sitting.shared_records import bring_up_to_date

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["LONGEST_NOTE", "keep_note", "keep_picture", "location_words", "note_of"]

LONGEST_NOTE = 10_000


def note_of(text: str) -> str:
    """As it is kept; raises BadInput."""
    plain = text.strip()
    if not plain or len(plain) > LONGEST_NOTE:
        raise BadInput(f"note: {len(plain)} characters, expected from 1 to {LONGEST_NOTE}")
    return plain


def keep_note(store: Store, number: str, text: str) -> Entry:
    """Raises BadInput and RecordProblem."""
    note = note_of(text)
    bring_up_to_date(store, number)
    return store.append(number, Kind.NOTE, {"text": note})


def keep_picture(store: Store, number: str, path: Path, told: Mapping[str, Any] | None = None) -> Entry:
    """A copy beside the record; told: what it is of.

    Raises AttachmentRefused, InstrumentTrouble where the copy can't be written, and RecordProblem.
    """
    folder = attachments_folder(store.path)
    try:
        attachment = keep_file(folder, path)
    except OSError as problem:
        raise InstrumentTrouble(f"{folder}: not kept: {problem.strerror}") from None
    bring_up_to_date(store, number)
    return store.append(number, Kind.PHOTO, {**attachment.as_body(), **(told or {})})


def location_words(body: Mapping[str, Any]) -> str:
    """Of what is attached: whether the place at which it was taken may still be in it."""
    if body.get("location") == "taken out":
        return "without the place and time at which it was taken"
    return "as it is: whether it tells the place at which it was taken is not known, expected JPEG, PNG or WebP"
