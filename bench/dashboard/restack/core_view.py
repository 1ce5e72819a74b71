"""The core that goes together: from the front with coil, wedge, band and bolts, from the side with its layers."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, largest_font, scale_of
from bench.dashboard.restack.front_drawing import draw_front
from bench.dashboard.restack.side_drawing import draw_side
from bench.dashboard.restack.stacked import Stacked
from bench.quantities import show

__all__ = ["CoreView"]


class CoreView(CardFrame):
    """`stacked` is None while no job is open."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.stacked: Stacked | None = None
        self.setAccessibleName("the core")

    def show_stacked(self, stacked: Stacked) -> None:
        if stacked != self.stacked:
            self.stacked = stacked
            self.setAccessibleDescription(words_of(stacked))
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        if self.stacked is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        pad, foot = 14 * scale, 20 * scale
        room = QRectF(self.rect()).adjusted(pad, pad, -pad, -pad - foot)
        front = QRectF(room.left(), room.top(), room.width() * 0.60, room.height())
        draw_front(painter, front, self.stacked, scale)
        side = QRectF(front.right() + pad, room.top(), room.right() - front.right() - pad, room.height())
        draw_side(painter, side, self.stacked, scale)
        self._caption(painter, QRectF(room.left(), room.bottom() + 2 * scale, room.width(), foot), scale)
        painter.end()

    def _caption(self, painter: QPainter, place: QRectF, scale: float) -> None:
        assert self.stacked is not None
        to_scale, stack = self.stacked.to_scale, self.stacked.due.stack
        design = "" if stack is None else f"; dashed: the design's {show(stack, 'm', 3)}"
        words = f"to scale{design}" if to_scale else "not to scale: the job gives no dimensions"
        painter.setFont(largest_font(words, int(place.width()), int(place.height()), round(14 * scale), 8))
        painter.setPen((Ink.QUIET if to_scale else Ink.DOUBT).colour)
        painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)


def words_of(stacked: Stacked) -> str:
    """The drawing for somebody who does not see it."""
    told = [f"joined {stacked.joined}"]
    if stacked.closed is not None:
        told.append(f"{stacked.closed} closed layers in")
    if stacked.missing:
        told.append(f"{stacked.missing} missing")
    number, which = stacked.open
    if number:
        told.append(f"{number} {which} alone")
    told += [f"{pile} {words}" for words, pile in stacked.aside]
    if stacked.said.gap is not None:
        told.append(f"a gap of {stacked.said.gap * 1e3:g} mm")
    if stacked.off is not None:
        told.append(f"stack {stacked.off * 100:+.1f} % of the design's")
    return ", ".join(told)
