"""Pictures of a record, read small beside the window; one that is missing, altered or broken says so."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage, QImageReader

from bench.records.attachments import problems_of
from bench.records.entry import Entry

__all__ = ["Thumbnail", "read_thumbnail"]

_MOST_PIXELS = 200_000_000
"""A picture that claims more is not opened: it would take the memory of everything else."""


@dataclass(frozen=True, eq=False)
class Thumbnail:
    """seq, name: of the picture's entry;  image: None where there is none to be shown, and problem says why."""

    seq: int
    name: str
    image: QImage | None
    problem: str = ""


def read_thumbnail(folder: Path, entry: Entry, side: int) -> Thumbnail:
    """At most `side` [px] wide and high; never in the window's thread."""
    body = entry.body
    name = str(body.get("name", "picture"))
    wrong = problems_of(folder, dict(body))
    if wrong:
        return Thumbnail(entry.seq, name, None, _short(wrong[0]))
    image = _read(folder / str(body["file"]), side)
    return Thumbnail(entry.seq, name, *image)


def _read(path: Path, side: int) -> tuple[QImage | None, str]:
    reader = QImageReader(str(path))
    reader.setAutoTransform(True)
    reader.setDecideFormatFromContent(True)
    size = reader.size()
    if not reader.canRead():
        return None, "no picture, or damaged"
    if size.isValid() and size.width() * size.height() > _MOST_PIXELS:
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
