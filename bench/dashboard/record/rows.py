"""A list of rows as long as it may be: only what is seen is drawn, one row is chosen."""

from __future__ import annotations

from dataclasses import dataclass, field

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QImage, QMouseEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListView,
    QSizePolicy,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from bench.dashboard.parts.look import Ink, Shape, font_of, scale_of
from bench.dashboard.parts.signs import draw_sign

__all__ = ["Row", "Rows"]

_Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True)
class Row:
    """words with a sign before them and `tail` at the right;  under: a second line in small, where rows have two;
    heading: parts what follows from what stands before;  small: a picture before all of it."""

    words: str
    tail: str = ""
    under: str = ""
    shape: Shape = Shape.NONE
    ink: Ink = Ink.QUIET
    heading: bool = False
    small: QImage | None = field(default=None, compare=False)
    drawn: bool = False

    @property
    def told(self) -> str:
        """For somebody who does not see it."""
        return ", ".join(part for part in (self.words, self.under, self.tail) if part)


class _Model(QAbstractListModel):
    def __init__(self, view: QWidget) -> None:
        # With a parent: what Python alone owns may be put away in a thread that is not the window's.
        super().__init__(view)
        self.rows: tuple[Row, ...] = ()

    def show_rows(self, rows: tuple[Row, ...]) -> None:
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: N802, B008 (Qt's)
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: _Index, role: int = int(Qt.ItemDataRole.DisplayRole)) -> object:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.rows[index.row()].told
        return None


class _Delegate(QStyledItemDelegate):
    def __init__(self, rows: Rows, lines: int) -> None:
        super().__init__(rows)
        self._rows, self._lines = rows, lines

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(10, self._rows.row_high)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        row = self._rows.rows[index.row()]
        room = QRectF(option.rect)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self._rows)
        if index.row() == self._rows.chosen:
            live = self._rows.has_keys
            painter.setPen(QPen((Ink.COPPER if live else Ink.QUIET).colour, 2))
            painter.setBrush(Ink.PAPER.colour)
            painter.drawRoundedRect(room.adjusted(1, 1, -1, -1), 4, 4)
        if row.small is not None:
            room = self._beside(painter, room, row.small)
        high = room.height() / self._lines
        side = min(high * 0.72, 24 * scale)
        pad = 6 * scale
        sign = QRectF(room.left() + pad, room.top() + (high - side) / 2, side, side)
        draw_sign(painter, sign, row.shape, row.ink)
        left = room.left() + pad if row.heading else sign.right() + pad
        first = QRectF(left, room.top(), room.right() - left - pad, high)
        self._line(painter, first, row.words, row.tail, scale, row.heading or self._lines == 2)
        if row.heading:
            painter.setPen(QPen(Ink.LINE.colour, 1))
            painter.drawLine(room.bottomLeft(), room.bottomRight())
        if self._lines == 2:
            second = first.translated(0, high * 0.92)
            painter.setFont(font_of(round(15 * scale)))
            painter.setPen(Ink.QUIET.colour)
            self._elided(painter, second, row.under)
        painter.restore()

    def _beside(self, painter: QPainter, room: QRectF, small: QImage) -> QRectF:
        """Draws it at the left; what room is left."""
        side = room.height() - 8
        place = QRectF(room.left() + 5, room.top() + 4, side * 4 / 3, side)
        ratio = min(place.width() / small.width(), place.height() / small.height())
        drawn = QRectF(0, 0, small.width() * ratio, small.height() * ratio)
        drawn.moveCenter(place.center())
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(drawn, small)
        return room.adjusted(place.width() + 6, 0, 0, 0)

    def _line(self, painter: QPainter, room: QRectF, words: str, tail: str, scale: float, bold: bool) -> None:
        painter.setFont(font_of(round(15 * scale)))
        painter.setPen(Ink.QUIET.colour)
        painter.drawText(room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, tail)
        wide = painter.fontMetrics().horizontalAdvance(tail) + 10 * scale if tail else 0
        painter.setFont(font_of(round(18 * scale), QFont.Weight.DemiBold if bold else QFont.Weight.Normal))
        painter.setPen((Ink.COPPER if bold and self._lines == 1 else Ink.TEXT).colour)
        self._elided(painter, room.adjusted(0, 0, -wide, 0), words)

    def _elided(self, painter: QPainter, room: QRectF, words: str) -> None:
        """The chosen row is told in full elsewhere."""
        shown = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown)


class Rows(QListView):
    """lines: of each row, one or two.  `picked` with the number of a row that was clicked."""

    picked = Signal(int)

    def __init__(self, name: str, lines: int = 1, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = _Model(self)
        self._lines = lines
        self.chosen = -1
        self.has_keys = False
        self.setModel(self._model)
        self.setItemDelegate(_Delegate(self, lines))
        self.setUniformItemSizes(True)
        self.setFrameShape(QListView.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName(name)
        # A click does what these acts of the face do.
        self.setProperty("keys", ["Up", "Down"])

    @property
    def rows(self) -> tuple[Row, ...]:
        return self._model.rows

    @property
    def row_high(self) -> int:
        """[px]"""
        return round((52 if self._lines == 2 else 29) * scale_of(self))

    @property
    def a_page(self) -> int:
        """How many rows are seen at once."""
        return max(1, self.viewport().height() // self.row_high)

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(1, 1)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(1, 1)

    def show_rows(self, rows: tuple[Row, ...], chosen: int, *, has_keys: bool) -> None:
        """has_keys: whether up and down move in this list."""
        if rows != self._model.rows:
            self._model.show_rows(rows)
        self.chosen, self.has_keys = chosen, has_keys
        if 0 <= chosen < len(rows):
            index = self._model.index(chosen)
            self.setCurrentIndex(index)
            self.scrollTo(index)
            self.setAccessibleDescription(rows[chosen].told)
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        """The chosen row stays in sight, and rows grow with the window."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()
        if 0 <= self.chosen < len(self.rows):
            self.scrollTo(self._model.index(self.chosen))

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        index = self.indexAt(event.position().toPoint())
        if index.isValid():
            self.picked.emit(index.row())
