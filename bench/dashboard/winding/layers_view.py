"""The layers of the winding in progress, filling from the core outwards, to and fro as the wire runs."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, font_of, scale_of
from bench.job.winding import Winding
from bench.winding.progress import Progress

__all__ = ["LayersView"]

_WORDS = 18
"""Size of type [px] for the numbers beside the layers."""


class LayersView(QWidget):
    """One bar a layer, the innermost at the foot; one bar for all turns where the job has no layers."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._winding: Winding | None = None
        self._progress: Progress | None = None
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("layers of the winding")

    def show_progress(self, winding: Winding, progress: Progress | None) -> None:
        if (winding, progress) != (self._winding, self._progress):
            self._winding, self._progress = winding, progress
            self.update()

    def layers(self) -> tuple[int, ...]:
        """Turns of each layer that is drawn, innermost first."""
        if self._winding is None:
            return ()
        return self._winding.layers or ((self._winding.turns,) if self._winding.turns else ())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        layers = self.layers()
        if not layers:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        pitch = min(self.height() / len(layers), 96 * scale)
        foot = self.height() / 2 + pitch * len(layers) / 2
        turns = 0.0 if self._progress is None else self._progress.turns
        widest, before = max(layers), 0
        of_words = QFontMetricsF(font_of(round(_WORDS * scale), QFont.Weight.Bold)).horizontalAdvance
        margin = of_words(str(len(layers))) + 12 * scale
        far = of_words(str(widest)) + 12 * scale
        for number, of_layer in enumerate(layers, start=1):
            room = QRectF(margin, foot - number * pitch, self.width() - margin - far, pitch).adjusted(0, 1.5, 0, -1.5)
            bar = QRectF(room.left(), room.top(), room.width() * of_layer / widest, room.height())
            if number % 2 == 0:
                bar.moveRight(room.right())
            self._draw_layer(painter, bar, number, min(1.0, max(0.0, (turns - before) / of_layer)), scale)
            self._draw_taps(painter, bar, number, before, of_layer)
            self._draw_words(painter, room, number, of_layer, before <= turns < before + of_layer, scale)
            before += of_layer
        painter.end()

    def _draw_layer(self, painter: QPainter, bar: QRectF, number: int, share: float, scale: float) -> None:
        """Odd layers run from left to right, even ones back."""
        painter.setPen(QPen(Ink.LINE.colour, 1))
        painter.setBrush(Ink.EMPTY.colour)
        painter.drawRect(bar)
        if share <= 0:
            return
        full = QRectF(bar)
        full.setWidth(bar.width() * share)
        if number % 2 == 0:
            full.moveRight(bar.right())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Ink.COPPER_PALE.colour if share >= 1 else Ink.COPPER.colour)
        painter.drawRect(full)
        if share < 1:
            tip = full.right() if number % 2 else full.left()
            away = 9 * scale if number % 2 else -9 * scale
            middle = bar.center().y()
            painter.drawPolygon(
                QPolygonF([QPointF(tip, bar.top()), QPointF(tip + away, middle), QPointF(tip, bar.bottom())])
            )

    def _draw_taps(self, painter: QPainter, bar: QRectF, number: int, before: int, of_layer: int) -> None:
        assert self._winding is not None
        for tap in self._winding.taps:
            if before < tap.turn <= before + of_layer:
                share = (tap.turn - before) / of_layer
                at = bar.left() + bar.width() * (share if number % 2 else 1 - share)
                painter.setPen(QPen(Ink.TEXT.colour, 3))
                painter.drawLine(QPointF(at, bar.top() - 2), QPointF(at, bar.bottom() + 2))

    def _draw_words(
        self, painter: QPainter, room: QRectF, number: int, of_layer: int, current: bool, scale: float
    ) -> None:
        size = round(min(_WORDS * scale, room.height() * 0.7))
        if size < 8:
            return
        painter.setFont(font_of(size, QFont.Weight.Bold if current else QFont.Weight.Normal))
        painter.setPen(Ink.TEXT.colour if current else Ink.QUIET.colour)
        left = QRectF(0, room.top(), room.left() - 8 * scale, room.height())
        right = QRectF(room.right() + 8 * scale, room.top(), self.width() - room.right() - 8 * scale, room.height())
        if self._winding is not None and self._winding.layers:
            painter.drawText(left, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, str(number))
        painter.drawText(right, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, str(of_layer))
