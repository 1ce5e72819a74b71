"""A table that is read from afar: a row a thing, one of them chosen by arrow key or click."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, largest_font, scale_of
from bench.dashboard.parts.signs import draw_sign

__all__ = ["Cell", "Column", "Row", "RowList"]

_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_HEAD = 22.0
"""Height of the heads of columns [px]."""


@dataclass(frozen=True)
class Column:
    """head: empty for none;  share of the width;  size [px] at most;  right: of its edge."""

    head: str
    share: float
    size: int = 24
    right: bool = False


@dataclass(frozen=True)
class Cell:
    """What stands in a row under a column."""

    text: str
    ink: Ink = Ink.TEXT
    bold: bool = False


@dataclass(frozen=True)
class Row:
    """key: what it is of;  cells, one a column;  sign before it."""

    key: str
    cells: tuple[Cell, ...]
    shape: Shape = Shape.NONE
    ink: Ink = Ink.QUIET

    @property
    def words(self) -> str:
        """For a screen reader."""
        return ", ".join(cell.text for cell in self.cells if cell.text)


class RowList(CardFrame):
    """`chosen` when a person chooses another row.  choosing: False where it is only looked at."""

    chosen = Signal()

    def __init__(
        self,
        name: str,
        columns: tuple[Column, ...],
        *,
        choosing: bool = True,
        signs: bool = True,
        most_high: float = 76,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._columns, self._choosing, self._signs, self._most_high = columns, choosing, signs, most_high
        self._rows: tuple[Row, ...] = ()
        self._place = 0
        self._sizes: list[int] = []
        self.setAccessibleName(name)
        if choosing:
            self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        else:
            self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    @property
    def row(self) -> Row | None:
        """The one that is chosen."""
        return self._rows[self._place] if self._place < len(self._rows) else None

    @property
    def rows(self) -> tuple[Row, ...]:
        return self._rows

    def show_rows(self, rows: tuple[Row, ...]) -> None:
        """The same thing stays chosen."""
        if rows == self._rows:
            return
        key = "" if self.row is None else self.row.key
        self._rows = rows
        self._place = next((n for n, one in enumerate(rows) if one.key == key), 0)
        self._tell()

    def choose(self, key: str) -> None:
        """By the person or for them; nothing where there is no such row."""
        for place, one in enumerate(self._rows):
            if one.key == key and place != self._place:
                self._place = place
                self._tell()

    def step(self, by: int) -> None:
        """The next row, or the one before."""
        if self._rows:
            self._place = (self._place + by) % len(self._rows)
            self._tell()
            self.chosen.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if self._choosing and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.step(1 if event.key() == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        place = int((event.position().y() - self._top()) / self._high())
        if self._choosing and 0 <= place < len(self._rows):
            self._place = place
            self._tell()
            self.chosen.emit()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale, high, top = scale_of(self), self._high(), self._top()
        wide = self.width() - 20 * scale
        self._sizes = self._sizes_of_columns(wide, high, scale)
        if self._heads:
            room = QRectF(10 * scale, 5 * scale, wide, _HEAD * scale)
            self._cells(painter, room, tuple(Cell(one.head, Ink.QUIET) for one in self._columns), scale, head=True)
        for place, row in enumerate(self._rows):
            room = QRectF(10 * scale, top + place * high, wide, high)
            self._row(painter, room, row, scale, on=self._choosing and place == self._place)
        painter.end()

    def _row(self, painter: QPainter, room: QRectF, row: Row, scale: float, *, on: bool) -> None:
        if on:
            painter.setPen(QPen(Ink.COPPER.colour, 3))
            painter.setBrush(Ink.DOUBT_PALE.colour)
            painter.drawRoundedRect(room.adjusted(0, 1.5, 0, -1.5), 6, 6)
        if self._signs and row.shape is not Shape.NONE:
            side = min(28 * scale, room.height() * 0.56)
            place = QRectF(room.left() + 8 * scale, room.center().y() - side / 2, side, side)
            draw_sign(painter, place, row.shape, row.ink)
        self._cells(painter, room, row.cells, scale)

    def _cells(
        self, painter: QPainter, room: QRectF, cells: tuple[Cell, ...], scale: float, *, head: bool = False
    ) -> None:
        left = room.left() + ((44 if self._signs else 10) * scale)
        inner = room.right() - 10 * scale - left
        for cell, column, size in zip(cells, self._columns, self._sizes, strict=False):
            place = QRectF(left, room.top(), inner * column.share, room.height())
            most = round(15 * scale) if head else size
            painter.setFont(
                largest_font(cell.text, int(place.width() - 8 * scale), int(place.height()), most, 8, _weight(cell))
            )
            painter.setPen(cell.ink.colour)
            painter.drawText(place.adjusted(0, 0, -8 * scale, 0), _RIGHT if column.right else _LEFT, cell.text)
            left += inner * column.share

    def _sizes_of_columns(self, wide: float, high: float, scale: float) -> list[int]:
        """Of each column the size in which all its cells go, unless that would be too small to read."""
        inner = wide - (54 if self._signs else 20) * scale
        sizes = []
        for place, column in enumerate(self._columns):
            room, most, least = int(inner * column.share - 8 * scale), round(column.size * scale), round(14 * scale)
            fonts = [
                largest_font(one.text, room, int(high), most, least, _weight(one))
                for one in (row.cells[place] for row in self._rows if place < len(row.cells))
            ]
            sizes.append(min((font.pixelSize() for font in fonts), default=most))
        return sizes

    @property
    def _heads(self) -> bool:
        return any(one.head for one in self._columns)

    def _top(self) -> float:
        return ((6 + _HEAD) if self._heads else 6) * scale_of(self)

    def _high(self) -> float:
        scale = scale_of(self)
        return min((self.height() - self._top() - 6 * scale) / max(1, len(self._rows)), self._most_high * scale)

    def _tell(self) -> None:
        self.setAccessibleDescription("" if self.row is None else self.row.words)
        self.update()


def _weight(cell: Cell) -> QFont.Weight:
    return QFont.Weight.Bold if cell.bold else QFont.Weight.Normal
