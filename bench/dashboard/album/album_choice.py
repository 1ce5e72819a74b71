"""Which picture or note of a job is looked at."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtGui import QImage

from bench.dashboard.album.thumbnails import ON_CERTIFICATE, under_of
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.record.rows import Row
from bench.records.moments import minute
from bench.records.pictures import KeptPicture
from bench.sitting.album import Album, KeptNote
from bench.sitting.record_words import one_line

__all__ = ["AlbumChoice"]


class AlbumChoice:
    """Pictures first, then notes, each as they were kept.  large: whether the one looked at has the whole face;
    small: those that are opened small, by entry, None where there is none to be shown."""

    def __init__(self) -> None:
        self.album: Album | None = None
        self.large = False
        self.small: dict[int, QImage | None] = {}
        self._seq = 0

    def take(self, album: Album) -> None:
        """As it is now; what was looked at stays, and a picture that came meanwhile is looked at."""
        before = set() if self.album is None else {one.seq for one in self.album.pictures}
        known = self.album is not None and self.album.number == album.number
        new = [one.seq for one in album.pictures if one.seq not in before]
        self.album = album
        if known and new:
            self._seq = new[-1]

    @property
    def pictures(self) -> tuple[KeptPicture, ...]:
        return () if self.album is None else self.album.pictures

    @property
    def _all(self) -> tuple[KeptPicture | KeptNote, ...]:
        return () if self.album is None else (*self.album.pictures, *self.album.notes)

    @property
    def place(self) -> int:
        """Of the one that is looked at, the first until somebody goes on; -1 where there is none."""
        found = next((place for place, one in enumerate(self._all) if one.seq == self._seq), 0)
        return found if self._all else -1

    @property
    def picture(self) -> KeptPicture | None:
        one = self._all[self.place] if self._all else None
        return one if isinstance(one, KeptPicture) else None

    @property
    def note(self) -> KeptNote | None:
        one = self._all[self.place] if self._all else None
        return one if isinstance(one, KeptNote) else None

    def move(self, by: int) -> None:
        """Stays at the ends."""
        if self._all:
            self._seq = self._all[min(len(self._all) - 1, max(0, self.place + by))].seq

    def choose(self, place: int) -> None:
        if 0 <= place < len(self._all):
            self._seq = self._all[place].seq

    @property
    def words(self) -> str:
        """How many of each, and how many of them are marked."""
        if self.album is None:
            return "looking into the record"
        pictures, notes = len(self.album.pictures), len(self.album.notes)
        marked = sum(one.on_certificate for one in self.album.pictures)
        said = f"{self.album.number}: {pictures} picture{'' if pictures == 1 else 's'}, {marked} {ON_CERTIFICATE}"
        return f"{said}; {notes} note{'' if notes == 1 else 's'}"

    def still_to_open(self, most: int) -> tuple[KeptPicture, ...]:
        """Of those that are not opened small, the nearest to the one that is looked at."""
        near = sorted(enumerate(self.pictures), key=lambda each: abs(each[0] - self.place))
        return tuple([one for _, one in near if one.seq not in self.small][:most])

    def rows(self) -> tuple[Row, ...]:
        return tuple(self._row(one) for one in self._all)

    def _row(self, one: KeptPicture | KeptNote) -> Row:
        if isinstance(one, KeptNote):
            return _row_of_note(one)
        small = self.small.get(one.seq)
        return replace(_row_of(one), small=small, drawn=small is not None)


def _row_of(one: KeptPicture) -> Row:
    shape, ink = (Shape.TICK, Ink.COPPER) if one.on_certificate else (Shape.RING, Ink.QUIET)
    return Row(one_line(one.caption or one.name), under=under_of(one), shape=shape, ink=ink)


def _row_of_note(one: KeptNote) -> Row:
    of = f" of {one.of}" if one.of else ""
    return Row(one_line(one.text), under=f"note{of}, {minute(one.at)}", shape=Shape.NONE)
