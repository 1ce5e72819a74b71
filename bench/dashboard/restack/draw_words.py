"""Words beside a drawing: as large as their place allows, with a line to what they name."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPen

from bench.dashboard.parts.look import Ink, largest_font

__all__ = ["draw_leader", "draw_words"]

_LEAST = 8


def draw_words(
    painter: QPainter,
    place: QRectF,
    words: str,
    size: float,
    ink: Ink = Ink.TEXT,
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
    *,
    bold: bool = False,
) -> None:
    """One line, in type of at most this size [px]."""
    weight = QFont.Weight.DemiBold if bold else QFont.Weight.Normal
    painter.setFont(largest_font(words, int(place.width()), int(place.height()), round(size), _LEAST, weight))
    painter.setPen(ink.colour)
    painter.drawText(place, align | Qt.AlignmentFlag.AlignVCenter, words)


def draw_leader(painter: QPainter, at: QPointF, place: QRectF, words: str, size: float, ink: Ink) -> None:
    """Words in a place, and a line from them to a point left of it."""
    painter.setPen(QPen(ink.colour, 1))
    painter.drawLine(at, QPointF(place.left() - 4, place.center().y()))
    painter.setBrush(ink.colour)
    painter.drawEllipse(at, 2, 2)
    draw_words(painter, place, words, size, ink, bold=ink is Ink.BAD)
