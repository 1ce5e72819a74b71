"""A note or a picture for a job's record; needs no lock on the job, since it changes nothing that others rely on."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.records.attachments import attachments_folder, keep_file
from bench.records.entry import Entry, Kind
from bench.records.pictures import LONGEST_CAPTION, KeptPicture, pictures_of, plain_name
from bench.sitting.problems import BadInput, InstrumentTrouble
from bench.sitting.shared_records import bring_up_to_date

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = [
    "LONGEST_NOTE",
    "caption_of",
    "keep_note",
    "keep_picture",
    "location_words",
    "mark_picture",
    "note_of",
    "pictures_kept",
]

LONGEST_NOTE = 10_000


def _in_letters(what: str, text: str) -> str:
    """What a terminal gave that is no UTF-8 comes as halves of a letter, which nothing can keep."""
    if any("\ud800" <= letter <= "\udfff" for letter in text):
        raise BadInput(f"{what}: holds bytes that are no UTF-8, expected text")
    return text


def note_of(text: str) -> str:
    """As it is kept; raises BadInput."""
    plain = _in_letters("note", text.strip())
    if not plain or len(plain) > LONGEST_NOTE:
        raise BadInput(f"note: {len(plain)} characters, expected from 1 to {LONGEST_NOTE}")
    return plain


def keep_note(store: Store, number: str, text: str) -> Entry:
    """Raises BadInput and RecordProblem."""
    note = note_of(text)
    bring_up_to_date(store, number)
    return store.append(number, Kind.NOTE, {"text": note})


def caption_of(text: str) -> str:
    """As it is kept, on one line; raises BadInput."""
    plain = _in_letters("caption", " ".join(text.split()))
    if not 0 < len(plain) <= LONGEST_CAPTION:
        raise BadInput(f"caption: {len(plain)} characters, expected from 1 to {LONGEST_CAPTION}")
    return plain


def keep_picture(store: Store, number: str, path: Path, told: Mapping[str, Any] | None = None) -> Entry:
    """A copy beside the record, under a plain name of ours: that of the file may tell when and where it was taken.

    told: what it is of, `caption`, and `on_certificate` where it is to stand there.

    Raises AttachmentRefused, InstrumentTrouble where the copy can't be written, and RecordProblem.
    """
    folder = attachments_folder(store.path)
    try:
        attachment = keep_file(folder, path)
    except OSError as problem:
        raise InstrumentTrouble(f"{folder}: not kept: {problem.strerror}") from None
    bring_up_to_date(store, number)
    name = plain_name(len(store.entries(number, Kind.PHOTO)) + 1, Path(attachment.file).suffix)
    return store.append(number, Kind.PHOTO, {**attachment.as_body(), "name": name, **(told or {})})


def pictures_kept(store: Store, number: str) -> tuple[KeptPicture, ...]:
    """Of a job, in the order in which they were kept; raises RecordProblem."""
    return pictures_of(store.entries_of(number, (Kind.PHOTO, Kind.PICTURE)))


def mark_picture(store: Store, number: str, seq: int, said: Mapping[str, Any]) -> KeptPicture:
    """A word on one that is kept, by an entry of its own; how it stands then.  seq: of its entry;  said:
    `on_certificate`, `caption`, or both.

    Where nothing becomes other than it is no entry is made.  Raises BadInput and RecordProblem.
    """
    pictures = {one.seq: one for one in pictures_kept(store, number)}
    if seq not in pictures:
        known = ", ".join(str(one) for one in pictures) or "none yet: turnproof survey JOB --photo FILE keeps one"
        raise BadInput(f"{number}: entry {seq} is no picture, expected {known}")
    before = pictures[seq]
    changed = {key: value for key, value in said.items() if getattr(before, key) != value}
    if not changed:
        return before
    bring_up_to_date(store, number)
    store.append(number, Kind.PICTURE, {"of": seq, **changed})
    return next(one for one in pictures_kept(store, number) if one.seq == seq)


def location_words(body: Mapping[str, Any]) -> str:
    """Of what is attached: whether the place at which it was taken may still be in it."""
    if body.get("location") == "taken out":
        return "without the place and time at which it was taken"
    return "as it is: whether it tells the place at which it was taken is not known, expected JPEG, PNG or WebP"
