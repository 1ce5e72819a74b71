"""A few pictures side by side with their names; what can't be shown stands there with the reason."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.album.thumbnails import Thumbnail, under_of
from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, font_of, scale_of
from bench.dashboard.parts.signs import draw_sign

__all__ = ["PicturesView"]

_SHOWN = 3


class PicturesView(CardFrame):
    """The chosen one alone and large, else the newest ones.  alone: there is only ever one, and a list beside it."""

    def __init__(self, *, alone: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._alone = alone
        self.thumbnails: tuple[Thumbnail, ...] = ()
        self._words = ""
        self.setAccessibleName("pictures")

    def show_pictures(self, thumbnails: tuple[Thumbnail, ...], in_all: int, *, opening: bool = False) -> None:
        """in_all: how many the job has;  opening: whether one is still to come."""
        words = f"{in_all} picture{'' if in_all == 1 else 's'} in all, G shows them"
        if not in_all:
            words = "no picture yet: P keeps one"
        elif self._alone:
            words = "opening it" if opening and not thumbnails else ""
        if thumbnails[:_SHOWN] == self.thumbnails and words == self._words:
            return
        self.thumbnails, self._words = thumbnails[:_SHOWN], words
        self.setAccessibleDescription(". ".join([words, *(one.told for one in self.thumbnails)]))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.SmoothPixmapTransform)
        scale = scale_of(self)
        pad, line = 8 * scale, 20 * scale
        room = QRectF(self.rect()).adjusted(pad, pad, -pad, -pad)
        painter.setFont(font_of(round(15 * scale)))
        painter.setPen(Ink.QUIET.colour)
        foot = QRectF(room.left(), room.bottom() - line, room.width(), line)
        painter.drawText(foot, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, self._words)
        number = len(self.thumbnails)
        wide = (room.width() - pad * (number - 1)) / max(1, number)
        for place, one in enumerate(self.thumbnails):
            mine = QRectF(room.left() + place * (wide + pad), room.top(), wide, room.height() - line)
            self._draw(painter, mine, one, line, scale)
        painter.end()

    def _draw(self, painter: QPainter, room: QRectF, one: Thumbnail, line: float, scale: float) -> None:
        frame = room.adjusted(0, 0, 0, -2 * line)
        align = Qt.AlignmentFlag.AlignCenter
        if one.image is not None:
            ratio = min(frame.width() / one.image.width(), frame.height() / one.image.height())
            drawn = QRectF(0, 0, one.image.width() * ratio, one.image.height() * ratio)
            drawn.moveCenter(frame.center())
            painter.drawImage(drawn, one.image)
        else:
            painter.setPen(QPen(Ink.BAD.colour, 1.5, Qt.PenStyle.DashLine))
            painter.setBrush(Ink.BAD_PALE.colour)
            painter.drawRect(frame.adjusted(1, 1, -1, -1))
            side = min(30 * scale, frame.height() / 3)
            sign = QRectF(frame.center().x() - side / 2, frame.top() + frame.height() * 0.14, side, side)
            draw_sign(painter, sign, Shape.BANG, Ink.BAD)
            why = QRectF(frame.left() + 6, sign.bottom(), frame.width() - 12, frame.bottom() - sign.bottom())
            painter.setPen(Ink.BAD.colour)
            painter.setFont(font_of(round(15 * scale)))
            painter.drawText(why, int(align | Qt.TextFlag.TextWordWrap), one.problem)
        painter.setFont(font_of(round(14 * scale)))
        words = QRectF(room.left(), frame.bottom(), room.width(), line)
        marked = Ink.COPPER if one.picture.on_certificate else Ink.QUIET
        for text, ink in ((one.name, Ink.TEXT), (under_of(one.picture), marked)):
            painter.setPen(ink.colour)
            shown = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideLeft, int(words.width()))
            painter.drawText(words, align, shown)
            words.translate(0, line)
