"""A button that shows its key: pressed by the key, by a click, or by Enter where it has the focus."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, font_of, largest_font, scale_of

__all__ = ["KeyButton"]

_NAMES = {"Space": "space", "Return": "Enter", "Escape": "Esc", "?": "?"}


class KeyButton(QAbstractButton):
    """key: as Qt names it;  strong: the thing that is to be done next."""

    def __init__(self, key: str, words: str, *, strong: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key, self.words, self._strong = key, words, strong
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName(f"{words}, key {self.key_name}")
        self.setToolTip(words)

    @property
    def key_name(self) -> str:
        return _NAMES.get(self.key, self.key.lower() if len(self.key) == 1 else self.key)

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(1, 1)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        room = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
        edge = Ink.TEXT if self.hasFocus() else Ink.LINE
        painter.setPen(QPen(edge.colour, 3 if self.hasFocus() else 1))
        ground = Ink.COPPER if self._strong else Ink.CARD
        painter.setBrush((Ink.COPPER_PALE if self.isDown() else ground).colour)
        painter.drawRoundedRect(room, 6, 6)
        pad = 7 * scale
        size = max(9, min(round(17 * scale), round(room.height() * 0.5)))
        cap_font = font_of(size, QFont.Weight.Bold)
        painter.setFont(cap_font)
        wide = painter.fontMetrics().horizontalAdvance(self.key_name) + 2 * pad
        cap = QRectF(room.left() + pad, room.center().y() - size * 0.85, max(wide, size * 1.7), size * 1.7)
        painter.setPen(QPen(Ink.QUIET.colour, 1))
        painter.setBrush(Ink.PAPER.colour)
        painter.drawRoundedRect(cap, 4, 4)
        painter.setPen(Ink.TEXT.colour)
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, self.key_name)
        words = QRectF(cap.right() + pad, room.top(), room.right() - cap.right() - 1.5 * pad, room.height())
        bold = QFont.Weight.DemiBold if self._strong else QFont.Weight.Normal
        painter.setFont(largest_font(self.words, int(words.width()), int(words.height()), size, 8, bold))
        painter.setPen((Ink.CARD if self._strong and not self.isDown() else Ink.TEXT).colour)
        left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(words, left, self.words)
        painter.end()
