"""Signs that say a verdict by shape: drawn, so that they look alike on every machine whatever fonts it has."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, Shape

__all__ = ["SignWidget", "draw_sign"]


class SignWidget(QWidget):
    """One sign, as large as its place."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shape, self._ink = Shape.NONE, Ink.QUIET
        self.setAccessibleName(Shape.NONE.value)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)

    def show_sign(self, shape: Shape, ink: Ink) -> None:
        if (shape, ink) != (self._shape, self._ink):
            self._shape, self._ink = shape, ink
            self.setAccessibleName(shape.value)
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        side = min(self.width(), self.height()) * 0.92
        centre = QRectF(self.rect()).center()
        draw_sign(painter, QRectF(centre.x() - side / 2, centre.y() - side / 2, side, side), self._shape, self._ink)
        painter.end()


def draw_sign(painter: QPainter, place: QRectF, shape: Shape, ink: Ink) -> None:
    """Draw a sign into a square place."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(place.center())
    painter.scale(place.width() / 2, place.width() / 2)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ink.colour)
    match shape:
        case Shape.NONE:
            pass
        case Shape.RING:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(ink.colour, 0.2))
            painter.drawEllipse(QPointF(0, 0), 0.72, 0.72)
        case Shape.DOT:
            painter.drawEllipse(QPointF(0, 0), 0.6, 0.6)
        case Shape.DASH:
            painter.drawRect(QRectF(-0.85, -0.2, 1.7, 0.4))
        case Shape.TICK:
            painter.drawEllipse(QPointF(0, 0), 0.98, 0.98)
            _strokes(painter, [(-0.48, 0.02), (-0.12, 0.40), (0.50, -0.36)])
        case Shape.CROSS:
            painter.drawPolygon(_polygon(4, 0.0, 1.0))
            _strokes(painter, [(-0.30, -0.30), (0.30, 0.30)])
            _strokes(painter, [(-0.30, 0.30), (0.30, -0.30)])
        case Shape.QUERY:
            painter.drawPolygon(_triangle())
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(_white(0.17))
            painter.drawArc(QRectF(-0.25, -0.33, 0.5, 0.5), -60 * 16, 230 * 16)
            painter.drawLine(QPointF(0.02, 0.22), QPointF(0.02, 0.36))
            _point(painter, 0.66)
        case Shape.BANG:
            painter.drawPolygon(_polygon(6, math.pi / 6, 1.0))
            painter.setPen(_white(0.24))
            painter.drawLine(QPointF(0, -0.5), QPointF(0, 0.12))
            _point(painter, 0.5)
        case Shape.BOLT:
            painter.drawPolygon(_triangle())
            painter.setBrush(Ink.CARD.colour)
            bolt = [(0.14, -0.42), (-0.32, 0.24), (-0.02, 0.24), (-0.14, 0.74), (0.34, 0.06), (0.04, 0.06)]
            painter.drawPolygon(QPolygonF([QPointF(*each) for each in bolt]))
    painter.restore()


def _polygon(corners: int, turn: float, radius: float) -> QPolygonF:
    angles = [turn + 2 * math.pi * corner / corners for corner in range(corners)]
    return QPolygonF([QPointF(radius * math.cos(angle), radius * math.sin(angle)) for angle in angles])


def _triangle() -> QPolygonF:
    return QPolygonF([QPointF(0, -0.98), QPointF(1.0, 0.86), QPointF(-1.0, 0.86)])


def _white(width: float) -> QPen:
    return QPen(Ink.CARD.colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)


def _strokes(painter: QPainter, points: list[tuple[float, float]]) -> None:
    painter.setPen(_white(0.26))
    painter.drawPolyline(QPolygonF([QPointF(*point) for point in points]))


def _point(painter: QPainter, low: float) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Ink.CARD.colour)
    painter.drawEllipse(QPointF(0, low), 0.13, 0.13)
