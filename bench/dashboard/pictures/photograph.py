"""Something like a photograph of a coil, for the album's scenes: it has the colours that it has, in either theme."""

from __future__ import annotations

from PySide6.QtGui import QColor, QImage, QPainter, QPen

__all__ = ["BROWN", "GREY", "drawn"]

BROWN, GREY = "#6f6250", "#4f5d66"
"""Grounds."""


def drawn(ground: str) -> QImage:
    """Something like a coil with its leads."""
    image = QImage(640, 480, QImage.Format.Format_RGB32)
    image.fill(QColor(ground))
    painter = QPainter(image)
    painter.fillRect(120, 130, 400, 220, QColor("#b8793d"))
    painter.setPen(QPen(QColor("#7d4c1f"), 4))
    for x in range(130, 520, 14):
        painter.drawLine(x, 130, x, 350)
    for place, colour in enumerate(("#1a1a1a", "#c02020", "#c9a227", "#2f7d32")):
        painter.setPen(QPen(QColor(colour), 9))
        painter.drawLine(160 + 95 * place, 130, 130 + 110 * place, 20)
    painter.end()
    return image
