"""One answer of a stage with its state as a sign: a click goes to its question."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, Shape, font_of, largest_font, scale_of
from bench.dashboard.parts.signs import draw_sign
from bench.winding.stage import Question, Remark, Weight

__all__ = ["AnswerRow", "sign_of"]

_WORDS = {
    Shape.TICK: "in order", Shape.BANG: "a warning stands", Shape.DOT: "with a note", Shape.RING: "not answered",
    Shape.DASH: "left out",
}  # fmt: skip


def sign_of(question: Question, value: str | None, remarks: tuple[Remark, ...]) -> tuple[Shape, Ink]:
    """How an answer stands: the weightiest remark about it, else whether there is one."""
    weights = {one.weight for one in remarks if one.about == question.key}
    if Weight.WARNING in weights:
        return Shape.BANG, Ink.BAD
    if value is None:
        needed = question.required or Weight.MISSING in weights
        return (Shape.RING, Ink.COPPER) if needed else (Shape.DASH, Ink.LINE)
    return (Shape.DOT, Ink.DOUBT) if Weight.NOTE in weights else (Shape.TICK, Ink.GOOD)


class AnswerRow(QAbstractButton):
    """Words of the question left, the answer right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = ""
        self.value = ""
        self.sign: tuple[Shape, Ink] = (Shape.NONE, Ink.QUIET)
        self._words = ""
        self._current = False
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)

    def show_answer(self, key: str, words: str, value: str, sign: tuple[Shape, Ink], current: bool) -> None:
        shown = (key, words, value, sign, current)
        if shown == (self.key, self._words, self.value, self.sign, self._current):
            return
        self.key, self._words, self.value, self.sign, self._current = shown
        said = value or "no answer"
        self.setAccessibleName(f"{words}: {said}, {_WORDS.get(sign[0], sign[0].value)}")
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(1, 1)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        room = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        if self._current:
            painter.setPen(QPen(Ink.COPPER.colour, 2))
            painter.setBrush(Ink.PAPER.colour)
            painter.drawRoundedRect(room, 4, 4)
        side = min(room.height() * 0.72, 26 * scale)
        sign = QRectF(room.left() + 6 * scale, room.center().y() - side / 2, side, side)
        draw_sign(painter, sign, *self.sign)
        middle = room.left() + room.width() * 0.46
        left = QRectF(sign.right() + 8 * scale, room.top(), middle - sign.right() - 12 * scale, room.height())
        right = QRectF(middle, room.top(), room.right() - middle - 6 * scale, room.height())
        size = round(19 * scale)
        align = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.setFont(largest_font(self._words, int(left.width()), int(left.height()), size, 9))
        painter.setPen(Ink.QUIET.colour)
        painter.drawText(left, align, self._words)
        self._draw_value(painter, right, size)
        painter.end()

    def _draw_value(self, painter: QPainter, place: QRectF, size: int) -> None:
        bold = QFont.Weight.DemiBold
        said = self.value or ("not answered" if self.sign[0] is Shape.RING else "–")
        font = largest_font(said, int(place.width()), int(place.height()), size, 11, bold if self.value else 400)
        painter.setFont(font)
        if painter.fontMetrics().horizontalAdvance(said) > place.width():
            painter.setFont(font_of(11, bold))
            said = painter.fontMetrics().elidedText(said, Qt.TextElideMode.ElideRight, int(place.width()))
        painter.setPen((Ink.BAD if self.sign[0] is Shape.BANG else Ink.TEXT if self.value else self.sign[1]).colour)
        if not self.value and self.sign[1] is Ink.LINE:
            painter.setPen(Ink.QUIET.colour)
        painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, said)
