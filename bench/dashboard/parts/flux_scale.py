"""Flux densities on one scale with the knee of the steel: whether the core bears them is seen, and stands in words."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, scale_of
from bench.dashboard.parts.painted import RIGHT, wrap, write
from bench.dashboard.parts.signs import draw_sign

__all__ = ["FluxMark", "FluxScale", "FluxSeen", "standing_of"]

_END = 2.0
"""Of the scale [T]: silicon steel carries no more."""


@dataclass(frozen=True)
class FluxMark:
    """label: of which supply;  value, doubt [T], the latter with k = 2."""

    label: str
    value: float
    doubt: float = 0.0


@dataclass(frozen=True)
class FluxSeen:
    """title;  marks, one a row;  knee, knee_doubt [T]: where the current begins to run away, None where not known;
    whose: knee it is;  empty: what is missing, where there are no marks."""

    title: str
    marks: tuple[FluxMark, ...] = ()
    knee: float | None = None
    knee_doubt: float = 0.0
    whose: str = ""
    empty: str = ""


def standing_of(mark: FluxMark, seen: FluxSeen) -> tuple[str, Shape, Ink]:
    """How a flux density stands to the knee."""
    if seen.knee is None:
        return "", Shape.DOT, Ink.TEXT
    if mark.value + mark.doubt < seen.knee - seen.knee_doubt:
        return "below the knee", Shape.TICK, Ink.GOOD
    if mark.value - mark.doubt > seen.knee + seen.knee_doubt:
        return "beyond the knee", Shape.CROSS, Ink.BAD
    return "at the knee", Shape.QUERY, Ink.DOUBT


class FluxScale(CardFrame):
    """A bar for each mark from nothing up, the knee as a band across all of them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._seen = FluxSeen("flux density")
        self.setAccessibleName("flux density against the knee")

    @property
    def seen(self) -> FluxSeen:
        return self._seen

    def show_flux(self, seen: FluxSeen) -> None:
        if seen == self._seen:
            return
        self._seen = seen
        told = [f"{one.label} {one.value:.2f} T {standing_of(one, seen)[0]}" for one in seen.marks]
        knee = "" if seen.knee is None else f"knee {seen.knee:.2f} T"
        self.setAccessibleDescription("; ".join([*told, knee]) or seen.empty)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        room = QRectF(self.rect()).adjusted(14 * scale, 8 * scale, -14 * scale, -8 * scale)
        head = QRectF(room.left(), room.top(), room.width(), 22 * scale)
        write(self, painter, head, self._seen.title, 17, Ink.QUIET)
        if self._seen.marks and self._seen.knee is not None:
            doubt = f" ± {self._seen.knee_doubt:.2f}" if self._seen.knee_doubt else ""
            knee = f"knee {self._seen.knee:.2f}{doubt} T, {self._seen.whose}"
            room_for = head.adjusted(head.width() * 0.36, 0, 0, 0)
            write(self, painter, room_for, knee, 16, Ink.TEXT, bold=QFont.Weight.Bold, align=RIGHT)
        body = room.adjusted(0, 26 * scale, 0, 0)
        if self._seen.marks:
            self._scale(painter, body, scale)
        else:
            wrap(self, painter, body, self._seen.empty, 19)
        painter.end()

    def _scale(self, painter: QPainter, body: QRectF, scale: float) -> None:
        seen = self._seen
        words = body.width() * 0.30
        figures = body.width() * 0.16
        foot = 20 * scale
        bars = QRectF(body.left() + words, body.top(), body.width() - words - figures, body.height() - foot)

        def x(tesla: float) -> float:
            return bars.left() + bars.width() * min(max(tesla, 0.0), _END) / _END

        if seen.knee is not None:
            self._beyond(painter, bars, x(seen.knee - seen.knee_doubt), x(seen.knee + seen.knee_doubt), x(_END))
        high = min(bars.height() / len(seen.marks), 44 * scale)
        for place, mark in enumerate(seen.marks):
            row = QRectF(body.left(), bars.top() + place * high, body.width(), high)
            _, shape, ink = standing_of(mark, seen)
            thick = min(high * 0.5, 20 * scale)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(Ink.COPPER.colour)
            y = row.center().y()
            painter.drawRect(QRectF(bars.left(), y - thick / 2, x(mark.value) - bars.left(), thick))
            if mark.doubt > 0:
                painter.setPen(QPen(Ink.TEXT.colour, 2 * scale))
                low, top = x(mark.value - mark.doubt), x(mark.value + mark.doubt)
                painter.drawLine(QPointF(low, y), QPointF(top, y))
                for end in (low, top):
                    painter.drawLine(QPointF(end, y - thick * 0.4), QPointF(end, y + thick * 0.4))
            side = min(high * 0.7, 24 * scale)
            draw_sign(painter, QRectF(row.left(), y - side / 2, side, side), shape, ink)
            label = QRectF(row.left() + side + 6 * scale, row.top(), words - side - 10 * scale, high)
            # All in the size of the longest.
            longest = max((one.label for one in seen.marks), key=len)
            write(self, painter, label, mark.label, 18, Ink.TEXT, like=longest)
            figure = QRectF(bars.right() + 6 * scale, row.top(), figures - 6 * scale, high)
            write(self, painter, figure, f"{mark.value:.2f} T", 22, Ink.TEXT, bold=QFont.Weight.Bold, align=RIGHT)
        self._axis(painter, bars, x, scale)

    def _beyond(self, painter: QPainter, bars: QRectF, low: float, high: float, end: float) -> None:
        """Where the knee may lie is pale; past it, hatched."""
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Ink.DOUBT_PALE.colour)
        painter.drawRect(QRectF(low, bars.top(), max(2.0, high - low), bars.height()))
        painter.setBrush(QBrush(Ink.BAD.colour, Qt.BrushStyle.BDiagPattern))
        painter.drawRect(QRectF(high, bars.top(), end - high, bars.height()))

    def _axis(self, painter: QPainter, bars: QRectF, x: object, scale: float) -> None:
        assert callable(x)
        seen = self._seen
        painter.setPen(QPen(Ink.QUIET.colour, 1))
        painter.drawLine(bars.bottomLeft(), bars.bottomRight())
        for tesla in (0.0, 0.5, 1.0, 1.5, 2.0):
            painter.drawLine(QPointF(x(tesla), bars.bottom()), QPointF(x(tesla), bars.bottom() + 4 * scale))
            place = QRectF(x(tesla) - 30 * scale, bars.bottom() + 3 * scale, 60 * scale, 16 * scale)
            write(self, painter, place, f"{tesla:g}", 13, Ink.QUIET, align=Qt.AlignmentFlag.AlignCenter)
        if seen.knee is None:
            return
        painter.setPen(QPen(Ink.TEXT.colour, 2.5 * scale, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(x(seen.knee), bars.top()), QPointF(x(seen.knee), bars.bottom()))
