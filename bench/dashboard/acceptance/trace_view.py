"""The last seconds of what a meter shows, against what it can't tell apart: a reading seen settling."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from bench.dashboard.acceptance.live import KEPT_S, Glance, band_of
from bench.dashboard.parts.look import Ink, largest_font, scale_of

__all__ = ["TraceView"]

_REACH = 5.0
"""How far above and below the newest value is drawn, in half widths of the band; the rest stands at the edge."""
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom


class TraceView(QWidget):
    """Ten seconds across; the pale band is the meter's own doubt round the newest value."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._glances: tuple[Glance, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("what the meter showed these ten seconds")

    def show_glances(self, glances: tuple[Glance, ...]) -> None:
        if glances is not self._glances:
            self._glances = glances
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        room = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.setPen(QPen(Ink.LINE.colour, 1))
        painter.setBrush(Ink.PAPER.colour)
        painter.drawRect(room)
        band = band_of(self._glances)
        if band is not None:
            self._draw(painter, room, *band)
        painter.end()

    def _draw(self, painter: QPainter, room: QRectF, middle: float, half: float) -> None:
        scale = scale_of(self)
        tall = room.height() / 2 / _REACH
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Ink.GOOD_PALE.colour)
        painter.drawRect(QRectF(room.left() + 1, room.center().y() - tall, room.width() - 2, 2 * tall))
        newest = self._glances[-1].at
        runs: list[list[QPointF]] = [[]]
        for one in self._glances:
            if one.value is None:
                runs.append([])
                continue
            away = max(-_REACH * 0.95, min(_REACH * 0.95, (one.value - middle) / half))
            x = room.right() - 7 * scale - (newest - one.at) / KEPT_S * (room.width() - 10 * scale)
            runs[-1].append(QPointF(x, room.center().y() - away * tall))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(Ink.TEXT.colour, 2 * scale))
        for run in runs:
            painter.drawPolyline(QPolygonF(run))
        last = next((run[-1] for run in reversed(runs) if run), None)
        if last is not None:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(Ink.COPPER.colour)
            painter.drawEllipse(last, 5 * scale, 5 * scale)
        painter.setPen(Ink.QUIET.colour)
        words = "band: the meter's own doubt" if self._glances[-1].u else "band: 1 %"
        painter.setFont(largest_font(words, int(room.width() - 8), 18, round(12 * scale), 7))
        painter.drawText(room.adjusted(4, 2, -4, -1), _RIGHT, words)
