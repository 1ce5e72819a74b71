"""Measured against designed, winding by winding: one scale for all, on which the limits are the two posts."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.dashboard.acceptance.comparison import Cell, Column, Place, Row, cell_text, place_of, rows_of
from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, ink_of_verdict, largest_font, scale_of, shape_of_verdict
from bench.dashboard.parts.signs import draw_sign
from bench.dashboard.state import Snapshot

__all__ = ["ComparisonView"]

_REACH = 1.7
"""How far the scale is drawn, in limits; what lies beyond stands at its edge with an arrow."""
_NAMES = 0.17
"""Share of the width for the names of the windings."""
_NARROW = 520
"""Width [px in the window designed for] below which a cell says the deviation alone, beside its scale."""
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_CENTRE = Qt.AlignmentFlag.AlignCenter
_BOLD = QFont.Weight.Bold


class ComparisonView(CardFrame):
    """A row a winding or section, a column a quantity; each cell a scale over value and deviation."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Row, ...] = ()
        self._narrow = False
        self.setAccessibleName("measured against designed")

    def show_state(self, state: Snapshot) -> None:
        rows = rows_of(state.plan, state.results)
        if rows != self._rows:
            self._rows = rows
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        room = QRectF(self.rect()).adjusted(14 * scale, 8 * scale, -14 * scale, -6 * scale)
        self._narrow = self.width() < _NARROW * scale
        names = room.width() * (_NAMES + 0.04 * self._narrow)
        wide = (room.width() - names) / len(Column)
        head, foot = (26 if self._narrow else 34) * scale, (18 if self._narrow else 24) * scale
        if not self._narrow:
            self._words(painter, QRectF(room.left(), room.top(), names, head), "winding", 16, Ink.QUIET)
        size = round(21 * scale)
        for row in self._rows:
            size = min(size, largest_font(row.name, int(names - 6), 99, size, 8, _BOLD).pixelSize())
        for number, column in enumerate(Column):
            place = QRectF(room.left() + names + number * wide, room.top(), wide, head)
            self._words(painter, place, column.short if self._narrow else column.heading, 19, Ink.TEXT, _CENTRE, _BOLD)
        self._legend(painter, QRectF(room.left(), room.bottom() - foot, room.width(), foot))
        high = (room.height() - head - foot) / max(1, len(self._rows))
        for number, row in enumerate(self._rows):
            top = room.top() + head + number * high
            painter.setPen(QPen(Ink.LINE.colour, 1))
            painter.drawLine(QPointF(room.left(), top), QPointF(room.right(), top))
            self._words(
                painter, QRectF(room.left(), top, names - 6, high), row.name, size / scale, Ink.TEXT, _LEFT, _BOLD
            )
            for place_number, column in enumerate(Column):
                place = QRectF(room.left() + names + place_number * wide, top, wide, high)
                self._cell(painter, place.adjusted(8 * scale, 3, -8 * scale, -3), row.cells.get(column), row.blank)
        painter.end()

    def _legend(self, painter: QPainter, room: QRectF) -> None:
        text = "Measured against designed: posts are the limits, the line between them the design, whiskers U (k = 2)"
        if self._narrow:
            text = "posts: the limits; middle: the design; whiskers: U (k = 2)"
        self._words(painter, room, text, 14, Ink.QUIET)

    def _cell(self, painter: QPainter, room: QRectF, cell: Cell | None, blank: str) -> None:
        if cell is None:
            self._words(painter, room, blank, 14, Ink.QUIET, _CENTRE)
            return
        result = cell.result
        verdict = None if result is None else result.verdict
        ink, ground = ink_of_verdict(verdict)
        if self._narrow:
            self._narrow_cell(painter, room, result, ink, ground)
            return
        upper = QRectF(room.left(), room.top(), room.width(), room.height() * 0.54)
        lower = QRectF(room.left(), upper.bottom(), room.width(), room.height() * 0.46)
        if verdict not in (None, Verdict.ACCEPTED):
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(ground.colour)
            painter.drawRoundedRect(room.adjusted(-4, 0, 4, 0), 4, 4)
        self._scale(painter, upper)
        if result is None:
            return
        place = place_of(result)
        if place is not None:
            self._reading(painter, upper, place, ink)
        side = min(lower.height() * 0.86, 24 * scale_of(self))
        draw_sign(
            painter,
            QRectF(lower.left(), lower.center().y() - side / 2, side, side),
            shape_of_verdict(verdict),
            ink,
        )
        value, deviation = cell_text(result)
        words = lower.adjusted(side + 6, 0, 0, 0)
        self._words(painter, words, value, 18, Ink.TEXT, _LEFT, part=0.56)
        self._words(painter, words, deviation, 18, ink, _RIGHT, _BOLD, part=0.44)

    def _narrow_cell(self, painter: QPainter, room: QRectF, result: StepResult | None, ink: Ink, ground: Ink) -> None:
        """The scale with the sign of the verdict as its dot, and the deviation beside it."""
        if result is not None and result.verdict is not Verdict.ACCEPTED:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(ground.colour)
            painter.drawRoundedRect(room.adjusted(-5, -1, 5, 1), 4, 4)
        scale = QRectF(room.left(), room.top(), room.width() * 0.52, room.height())
        self._scale(painter, scale)
        if result is None:
            return
        place = place_of(result)
        if place is not None:
            self._reading(painter, scale, place, ink)
            if result.verdict is not Verdict.ACCEPTED:
                side = min(room.height(), 19 * scale_of(self))
                x = self._at(scale, min(_REACH, max(-_REACH, place.at)))
                spot = QRectF(x - side / 2, scale.center().y() - side / 2, side, side)
                draw_sign(painter, spot, shape_of_verdict(result.verdict), ink)
        value, deviation = cell_text(result)
        self._words(painter, room, deviation.removesuffix(" %") or value, 17, ink, _RIGHT, _BOLD, part=0.46)

    def _scale(self, painter: QPainter, room: QRectF) -> None:
        middle = room.center().y()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Ink.EMPTY.colour)
        painter.drawRect(QRectF(QPointF(self._at(room, -1), middle - 4), QPointF(self._at(room, 1), middle + 4)))
        painter.setPen(QPen(Ink.LINE.colour, 1))
        painter.drawLine(QPointF(self._at(room, -_REACH), middle), QPointF(self._at(room, _REACH), middle))
        tall = min(room.height() * 0.36, 16 * scale_of(self))
        painter.setPen(QPen(Ink.QUIET.colour, 2.5))
        for post in (-1, 1):
            painter.drawLine(QPointF(self._at(room, post), middle - tall), QPointF(self._at(room, post), middle + tall))
        painter.setPen(QPen(Ink.QUIET.colour, 1))
        design = self._at(room, 0)
        painter.drawLine(QPointF(design, middle - tall * 0.7), QPointF(design, middle + tall * 0.7))

    def _reading(self, painter: QPainter, room: QRectF, place: Place, ink: Ink) -> None:
        middle = room.center().y()
        at = min(_REACH, max(-_REACH, place.at))
        low, high = max(-_REACH, place.at - place.whisker), min(_REACH, place.at + place.whisker)
        radius = min(7.5 * scale_of(self), room.height() * 0.32)
        painter.setPen(QPen(ink.colour, 2))
        # Whiskers that end inside the dot would only blur it.
        if low < high and self._at(room, high) - self._at(room, low) > 2 * radius:
            painter.drawLine(QPointF(self._at(room, low), middle), QPointF(self._at(room, high), middle))
            for end in (low, high):
                painter.drawLine(QPointF(self._at(room, end), middle - 5), QPointF(self._at(room, end), middle + 5))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink.colour)
        x = self._at(room, at)
        if at != place.at:
            tip = radius * 1.3 if at > 0 else -radius * 1.3
            foot = x - tip
            painter.drawPolygon(
                [QPointF(x + tip, middle), QPointF(foot, middle - radius), QPointF(foot, middle + radius)]
            )
            return
        painter.drawEllipse(QPointF(x, middle), radius, radius)

    def _at(self, room: QRectF, share: float) -> float:
        return room.center().x() + share / (_REACH * 1.06) * room.width() / 2

    def _words(
        self,
        painter: QPainter,
        room: QRectF,
        text: str,
        most: float,
        ink: Ink,
        align: Qt.AlignmentFlag = _LEFT,
        bold: int = QFont.Weight.Normal,
        part: float = 1.0,
    ) -> None:
        """A line of text in its place, or in the left or right part of it, as large as it may be."""
        wide = room.width() * part
        size = round(most * scale_of(self))
        painter.setFont(largest_font(text, int(wide), int(room.height()), size, 8, bold))
        painter.setPen(ink.colour)
        left = room.right() - wide if align == _RIGHT else room.left()
        painter.drawText(QRectF(left, room.top(), wide, room.height()), align, text)
