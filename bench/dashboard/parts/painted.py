"""Words in a drawing: as large as their place allows, on one line or on several."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QPainter
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.look import Ink, font_of, largest_font, scale_of, size_of_wrapped

__all__ = ["LEFT", "RIGHT", "wrap", "write"]

LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEAST = 8


def write(
    widget: QWidget,
    painter: QPainter,
    place: QRectF,
    text: str,
    most: int,
    ink: Ink = Ink.TEXT,
    *,
    align: Qt.AlignmentFlag = LEFT,
    bold: int = QFont.Weight.Normal,
    like: str = "",
) -> None:
    """One line, at most so large [px of the window designed for]; like: the longest of those that stand in one size."""
    longest = max((text, like), key=len)
    size = round(most * scale_of(widget))
    painter.setFont(largest_font(longest, int(place.width()), int(place.height()) + 4, size, _LEAST, bold))
    painter.setPen(ink.colour)
    painter.drawText(place, align, text)


def wrap(widget: QWidget, painter: QPainter, place: QRectF, text: str, most: int, ink: Ink = Ink.QUIET) -> None:
    """As many lines as it takes, none of them cut."""
    flags = int(LEFT) | int(Qt.TextFlag.TextWordWrap)
    size = round(most * scale_of(widget))
    while size > _LEAST:
        wide, high = size_of_wrapped(text, int(place.width()), flags, size, int(QFont.Weight.Normal))
        if high <= place.height() and wide <= place.width():
            break
        size -= 1
    painter.setFont(font_of(size))
    painter.setPen(ink.colour)
    painter.drawText(place, flags, text)
