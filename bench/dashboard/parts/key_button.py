"""A button that shows its key: pressed by the key, by a click, or by Enter where it has the focus."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, font_of, scale_of

__all__ = ["KeyButton"]

_SMALL, _LARGE = 16, 22
"""Most size of type [px] of a button in a row of many, and of one that stands out."""
_LEAST = 9
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap
_NAMES = {"Space": "space", "Return": "Enter", "Escape": "Esc"}


class KeyButton(QAbstractButton):
    """key: as Qt names it;  strong: the thing that is to be done next;  large: in larger type."""

    def __init__(
        self, key: str, words: str, *, strong: bool = False, large: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._large = large
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._strong = strong
        self._asked: tuple[object, ...] = ()
        self._size = _LEAST
        self.key = self.words = ""
        self.show_key(key, words)

    def show_key(self, key: str, words: str) -> None:
        """From now on that key, which does that."""
        if (key, words) == (self.key, self.words):
            return
        self.key, self.words = key, words
        self.setAccessibleName(f"{words}, key {self.key_name}")
        self.setToolTip(words)
        self.update()

    @property
    def key_name(self) -> str:
        return _NAMES.get(self.key, self.key.lower() if len(self.key) == 1 else self.key)

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(1, 1)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        room = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
        edge = Ink.TEXT if self.hasFocus() else Ink.LINE
        painter.setPen(QPen(edge.colour, 3 if self.hasFocus() else 1))
        ground = Ink.COPPER if self._strong else Ink.CARD
        painter.setBrush((Ink.COPPER_PALE if self.isDown() else ground).colour)
        painter.drawRoundedRect(room, 6, 6)
        size = self.size_of_type()
        cap = self._cap(size)
        painter.setFont(font_of(size, QFont.Weight.Bold))
        painter.setPen(QPen(Ink.QUIET.colour, 1))
        painter.setBrush(Ink.PAPER.colour)
        painter.drawRoundedRect(cap, 4, 4)
        painter.setPen(Ink.TEXT.colour)
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, self.key_name)
        painter.setFont(font_of(size, self._weight))
        painter.setPen((Ink.CARD if self._strong and not self.isDown() else Ink.TEXT).colour)
        painter.drawText(self._room_for_words(cap), _LEFT, self.words)
        painter.end()

    def size_of_type(self) -> int:
        """The largest [px] in which the words fit beside the key, on one line or on two."""
        scale = scale_of(self)
        asked = (self.words, self.key_name, self.size(), scale)
        if asked != self._asked:
            self._asked, self._size = asked, self._largest_size(scale)
        return self._size

    def _largest_size(self, scale: float) -> int:
        size = round((_LARGE if self._large else _SMALL) * scale)
        while size > _LEAST:
            room = self._room_for_words(self._cap(size)).toRect()
            metrics = QFontMetrics(font_of(size, self._weight))
            needed = metrics.boundingRect(QRect(0, 0, room.width(), 10_000), int(_LEFT), self.words)
            if needed.width() <= room.width() and needed.height() <= room.height():
                break
            size -= 1
        return size

    @property
    def _weight(self) -> int:
        return QFont.Weight.DemiBold if self._strong or self._large else QFont.Weight.Normal

    def _cap(self, size: int) -> QRectF:
        """Where the key is drawn."""
        pad = 0.4 * size
        wide = QFontMetrics(font_of(size, QFont.Weight.Bold)).horizontalAdvance(self.key_name) + 2 * pad
        high = min(size * 1.7, self.height() - 6.0)
        return QRectF(1.5 + pad, self.height() / 2 - high / 2, max(wide, high), high)

    def _room_for_words(self, cap: QRectF) -> QRectF:
        pad = 0.4 * cap.height() / 1.7
        return QRectF(cap.right() + pad, 1.5, max(1.0, self.width() - 3 - cap.right() - 1.5 * pad), self.height() - 3.0)
