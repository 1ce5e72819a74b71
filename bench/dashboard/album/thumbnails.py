"""Pictures of a record, read small beside the window; one that is missing, altered or broken says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage, QImageReader

from bench.records.attachments import problems_of
from bench.records.moments import minute
from bench.records.picture_header import MOST_PIXELS
from bench.records.pictures import KeptPicture

__all__ = ["ON_CERTIFICATE", "Thumbnail", "read_thumbnail", "read_thumbnails", "under_of"]

ON_CERTIFICATE = "on the certificate"


@dataclass(frozen=True, eq=False)
class Thumbnail:
    """picture: as it is kept;  image: None where there is none to be shown, and problem says why."""

    picture: KeptPicture
    image: QImage | None
    problem: str = ""

    @property
    def name(self) -> str:
        """What it shows, as somebody said; else the name under which it is kept."""
        return self.picture.caption or self.picture.name

    @property
    def told(self) -> str:
        """All of it in words."""
        return "; ".join(part for part in (self.name, under_of(self.picture), self.problem) if part)


def under_of(one: KeptPicture) -> str:
    """What stands below it: whether it is marked, of what it is, and when it was kept."""
    parts = (ON_CERTIFICATE * one.on_certificate, f"of {one.of}" if one.of else "", minute(one.at))
    return ", ".join(part for part in parts if part)


def read_thumbnails(folder: Path, pictures: Sequence[KeptPicture], side: int) -> tuple[Thumbnail, ...]:
    """Never in the window's thread."""
    return tuple(read_thumbnail(folder, one, side) for one in pictures)


def read_thumbnail(folder: Path, one: KeptPicture, side: int) -> Thumbnail:
    """At most `side` [px] wide and high; never in the window's thread."""
    wrong = problems_of(folder, one.body)
    if wrong:
        return Thumbnail(one, None, _short(wrong[0]))
    return Thumbnail(one, *_read(folder / str(one.body["file"]), side))


def _read(path: Path, side: int) -> tuple[QImage | None, str]:
    reader = QImageReader(str(path))
    reader.setAutoTransform(True)
    reader.setDecideFormatFromContent(True)
    size = reader.size()
    if not reader.canRead():
        return None, "no picture, or damaged"
    if size.isValid() and size.width() * size.height() > MOST_PIXELS:
        return None, f"can't be shown: {size.width()} x {size.height()} pixels"
    if size.isValid() and max(size.width(), size.height()) > side:
        # A large photograph is read small, which takes a fraction of the time and memory.
        reader.setScaledSize(size.scaled(QSize(side, side), Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        return None, f"can't be shown: {reader.errorString().lower()}"
    if max(image.width(), image.height()) > side:
        image = image.scaled(side, side, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)
    return image, ""


def _short(problem: str) -> str:
    """Without the name and the folder, which stand beside it."""
    return problem.rpartition("): ")[2] or problem
