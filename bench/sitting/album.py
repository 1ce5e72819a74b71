"""The pictures and the notes of a job, to be leafed through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.records.entry import Kind
from bench.records.pictures import KeptPicture
from bench.sitting.attaching import pictures_kept

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["Album", "KeptNote", "read_album"]


@dataclass(frozen=True)
class KeptNote:
    """seq, at: of its entry;  of: the winding that it is of, empty where nobody said."""

    seq: int
    at: str
    of: str
    text: str


@dataclass(frozen=True)
class Album:
    """Both in the order in which they were kept."""

    number: str
    pictures: tuple[KeptPicture, ...]
    notes: tuple[KeptNote, ...]


def read_album(store: Store, number: str) -> Album:
    """Raises RecordProblem."""
    notes = tuple(
        KeptNote(one.seq, one.at, str(one.body.get("winding") or ""), str(one.body.get("text", "")))
        for one in store.entries(number, Kind.NOTE)
    )
    return Album(number, pictures_kept(store, number), notes)
