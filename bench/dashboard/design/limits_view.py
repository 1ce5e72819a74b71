"""What limits a design: a bar for each limit, full where it is used up, and the figures that stand behind it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, scale_of
from bench.dashboard.parts.painted import RIGHT, wrap, write
from bench.dashboard.parts.signs import draw_sign
from bench.design.limits import Limit

__all__ = ["LimitsView", "standing_of_limit"]

_END = 1.25
"""Of the drawing, in parts of a limit."""
_BROKEN = 1.0005


def standing_of_limit(limit: Limit) -> tuple[str, Shape, Ink]:
    """Kept, kept hardly, broken or in doubt."""
    if limit.used - limit.doubt > limit.most * _BROKEN:
        return "over it", Shape.CROSS, Ink.BAD
    if limit.doubt and limit.used + limit.doubt > limit.most:
        return "it may be over it", Shape.QUERY, Ink.DOUBT
    return "kept", Shape.TICK, Ink.GOOD


class LimitsView(CardFrame):
    """The limit is the upright line; what lies past it is over it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._limits: tuple[Limit, ...] = ()
        self._empty = ""
        self.setAccessibleName("what limits it")

    @property
    def limits(self) -> tuple[Limit, ...]:
        return self._limits

    def show_limits(self, limits: tuple[Limit, ...], empty: str) -> None:
        """empty: said where there are none."""
        if (limits, empty) == (self._limits, self._empty):
            return
        self._limits, self._empty = limits, empty
        told = [f"{one.words}, {standing_of_limit(one)[0]}" for one in limits]
        self.setAccessibleDescription("; ".join(told) or empty)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        room = QRectF(self.rect()).adjusted(14 * scale, 6 * scale, -14 * scale, -6 * scale)
        head = QRectF(room.left(), room.top(), room.width(), 22 * scale)
        write(self, painter, head, "what limits it", 16, Ink.QUIET)
        body = room.adjusted(0, 24 * scale, 0, 0)
        if self._limits:
            self._bars(painter, body, scale)
        else:
            wrap(self, painter, body, self._empty, 18)
        painter.end()

    def _bars(self, painter: QPainter, body: QRectF, scale: float) -> None:
        high = min(body.height() / len(self._limits), 46 * scale)
        words, figures = body.width() * 0.42, body.width() * 0.30
        left, wide = body.left() + words, body.width() - words - figures

        def x(share: float) -> float:
            return left + wide * min(max(share, 0.0), _END) / _END

        longest = max((one.what for one in self._limits), key=len)
        for place, one in enumerate(self._limits):
            row = QRectF(body.left(), body.top() + place * high, body.width(), high)
            y, thick = row.center().y(), min(high * 0.5, 18 * scale)
            _, shape, ink = standing_of_limit(one)
            side = min(high * 0.75, 24 * scale)
            draw_sign(painter, QRectF(row.left(), y - side / 2, side, side), shape, ink)
            label = QRectF(row.left() + side + 6 * scale, row.top(), words - side - 12 * scale, high)
            write(self, painter, label, one.what, 17, like=longest)
            painter.setPen(QPen(Ink.QUIET.colour, 1))
            painter.setBrush(Ink.EMPTY.colour)
            painter.drawRect(QRectF(left, y - thick / 2, x(1.0) - left, thick))
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush((Ink.BAD if one.share > _BROKEN else Ink.COPPER).colour)
            painter.drawRect(QRectF(left, y - thick / 2, x(one.share) - left, thick))
            painter.setPen(QPen(Ink.TEXT.colour, 2 * scale))
            if one.doubt:
                ends = [x((one.used + sign * one.doubt) / one.most) for sign in (-1, 1)]
                painter.drawLine(QPointF(ends[0], y), QPointF(ends[1], y))
                for end in ends:
                    painter.drawLine(QPointF(end, y - thick * 0.4), QPointF(end, y + thick * 0.4))
            painter.drawLine(QPointF(x(1.0), y - thick * 0.8), QPointF(x(1.0), y + thick * 0.8))
            figure = QRectF(left + wide + 4 * scale, row.top(), figures - 4 * scale, high)
            told = one.words.removeprefix(f"{one.what}, ")
            write(self, painter, figure, told, 17, align=RIGHT, bold=QFont.Weight.DemiBold, like="1.32 of 1.32 T")
