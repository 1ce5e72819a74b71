"""Turns per volt as they came to be known: a bar for each entry, the newest lowest and thickest, on one scale."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, scale_of
from bench.dashboard.parts.painted import LEFT, RIGHT, wrap, write
from bench.sitting.survey_history import AfterEntry

__all__ = ["TighteningView"]

_NOTHING = "Here a bar is drawn for each count and reading: how far apart turns per volt may still lie."


class TighteningView(CardFrame):
    """history: oldest first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._history: tuple[AfterEntry, ...] = ()
        self.setAccessibleName("turns per volt after each entry")

    @property
    def history(self) -> tuple[AfterEntry, ...]:
        return self._history

    def show_history(self, history: tuple[AfterEntry, ...]) -> None:
        if history == self._history:
            return
        self._history = history
        told = [f"{one.what}: {one.turns_per_volt.low:.3f} to {one.turns_per_volt.high:.3f}" for one in history]
        self.setAccessibleDescription("; ".join(told))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        room = QRectF(self.rect()).adjusted(14 * scale, 8 * scale, -14 * scale, -8 * scale)
        if self._history:
            self._bars(painter, room, scale)
        else:
            wrap(self, painter, room, _NOTHING, 17)
        painter.end()

    def _bars(self, painter: QPainter, room: QRectF, scale: float) -> None:
        low = min(one.turns_per_volt.low for one in self._history)
        high = max(one.turns_per_volt.high for one in self._history)
        span = max(high - low, 1e-9)
        words, figures = room.width() * 0.30, room.width() * 0.17
        bars = QRectF(room.left() + words, room.top(), room.width() - words - figures, room.height() - 20 * scale)

        def x(value: float) -> float:
            return bars.left() + bars.width() * (0.04 + 0.92 * (value - low) / span)

        newest = self._history[-1].turns_per_volt
        painter.setPen(QPen(Ink.LINE.colour, 1, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(x(newest.value), bars.top()), QPointF(x(newest.value), bars.bottom()))
        step = min(bars.height() / len(self._history), 58 * scale)
        for place, one in enumerate(self._history):
            last = place == len(self._history) - 1
            y = bars.top() + (place + 0.5) * step
            ink = Ink.COPPER if last else Ink.QUIET
            bold = QFont.Weight.Bold if last else QFont.Weight.Normal
            per_volt = one.turns_per_volt
            painter.setPen(QPen(ink.colour, (8 if last else 3) * scale, c=Qt.PenCapStyle.FlatCap))
            painter.drawLine(
                QPointF(x(per_volt.low), y), QPointF(max(x(per_volt.high), x(per_volt.low) + 2 * scale), y)
            )
            painter.setPen(QPen(ink.colour, 2 * scale))
            half = min(step * 0.36, 9 * scale)
            for end in (per_volt.low, per_volt.high):
                painter.drawLine(QPointF(x(end), y - half), QPointF(x(end), y + half))
            write(
                self,
                painter,
                QRectF(room.left(), y - step / 2, words - 8, step),
                one.what,
                17,
                ink,
                align=LEFT,
                bold=bold,
            )
            doubt = f"± {per_volt.expanded:.3f}"
            figure = QRectF(bars.right(), y - step / 2, figures, step)
            write(self, painter, figure, doubt, 17, Ink.TEXT if last else Ink.QUIET, align=RIGHT, bold=bold)
        foot = QRectF(bars.left(), room.bottom() - 18 * scale, bars.width(), 18 * scale)
        write(self, painter, foot, f"{low:.3f}", 14, Ink.QUIET, align=LEFT, bold=QFont.Weight.Normal)
        write(self, painter, foot, f"{high:.3f}", 14, Ink.QUIET, align=RIGHT, bold=QFont.Weight.Normal)
