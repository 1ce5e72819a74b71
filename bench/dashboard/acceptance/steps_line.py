"""All steps of the test by kind, in a few lines: how far, and what is wrong where."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.acceptance.decision import Verdict
from bench.dashboard.acceptance.comparison import groups_of
from bench.dashboard.acceptance.steps_rows import GroupSummary, in_rows, summary_of
from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, font_of, ink_of_verdict, scale_of, shape_of_verdict
from bench.dashboard.parts.signs import draw_sign
from bench.dashboard.state import Snapshot

__all__ = ["StepsLine"]

_LEAST, _MOST = 9, 16
_MOST_ROWS = 3
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class StepsLine(CardFrame):
    """Each kind of step as its sign and name; the kind at hand is opened, with a sign for each of its steps."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._groups: tuple[GroupSummary, ...] = ()
        self._at_hand: tuple[str, ...] = ()
        self._step = ""
        self.setAccessibleName("steps of the test")

    def show_state(self, state: Snapshot) -> None:
        left_out = frozenset(one.id for one in state.verdict.not_done) if state.verdict is not None else frozenset()
        step = state.step if state.verdict is None else ""
        kinds = groups_of(state.plan, state.results)
        groups = tuple(summary_of(group, step, left_out) for group in kinds)
        at_hand = tuple(
            cell.id for group in kinds if any(one.id == step for one in group.cells) for cell in group.cells
        )
        if (groups, at_hand, step) != (self._groups, self._at_hand, self._step):
            self._groups, self._at_hand, self._step = groups, at_hand, step
            self.setAccessibleDescription("; ".join(_in_words(group) for group in groups))
            self.update()

    def name_size(self) -> int:
        """Size of the names' type [px] with which all kinds fit; less than 9 means that they don't."""
        return self._layout()[0]

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        if not self._groups:
            return
        painter = QPainter(self)
        size, rows = self._layout()
        size = max(_LEAST, size)
        widths, first = self._widths(size), 0
        pad = self._pad()
        high = (self.height() - 2 * pad) / len(rows)
        for row, count in enumerate(rows):
            part = range(first, first + count)
            used = sum(widths[number] for number in part)
            # Spread over the line, but not so far that the last line falls apart.
            spare = min((self.width() - 2 * pad - used) / max(1, count), 1.6 * size)
            left = float(pad)
            for number in part:
                room = QRectF(left, pad + row * high, widths[number], high)
                self._draw(painter, self._groups[number], room, size)
                left += widths[number] + spare
            first += count
        painter.end()

    def _pad(self) -> float:
        return 5 * scale_of(self)

    def _layout(self) -> tuple[int, list[int]]:
        """The largest type with which the kinds fit in at most three lines, and how many stand in each."""
        room, high = self.width() - 2 * self._pad(), self.height() - 2 * self._pad()
        for size in range(round(_MOST * scale_of(self)), _LEAST - 1, -1):
            rows = max(1, min(_MOST_ROWS, int(high / (1.3 * size))))
            found = in_rows(self._widths(size), room, rows)
            if found is not None:
                return size, found
        return _LEAST - 1, in_rows(self._widths(_LEAST), room, 99) or [len(self._groups)]

    def _widths(self, size: int) -> list[float]:
        plain, bold = QFontMetricsF(font_of(size)), QFontMetricsF(font_of(size, QFont.Weight.Bold))
        return [self._width(group, bold if group.current else plain, size) for group in self._groups]

    def _width(self, group: GroupSummary, metrics: QFontMetricsF, size: int) -> float:
        words = f"{group.name} {group.count}".strip()
        return metrics.horizontalAdvance(words) + 1.25 * size * len(group.signs) + 1.1 * size

    def _draw(self, painter: QPainter, group: GroupSummary, room: QRectF, size: int) -> None:
        bead = 1.25 * size
        if group.current:
            painter.setPen(QPen(Ink.COPPER.colour, 1.5))
            painter.setBrush(Ink.PAPER.colour)
            painter.drawRoundedRect(room.adjusted(0, 1, -0.2 * size, -1), 4, 4)
        left = room.left() + 0.35 * size
        for number, verdict in enumerate(group.signs):
            shape, ink = shape_of_verdict(verdict), ink_of_verdict(verdict)[0]
            if group.current and verdict is None and self._at_hand[number] == self._step:
                shape, ink = Shape.DOT, Ink.COPPER
            place = QRectF(left, room.center().y() - bead / 2, bead, bead)
            draw_sign(painter, place.adjusted(1.5, 1.5, -1.5, -1.5), shape, ink)
            left += bead
        painter.setFont(font_of(size, QFont.Weight.Bold if group.current else QFont.Weight.Normal))
        wrong = any(one not in (None, Verdict.ACCEPTED, Verdict.NOT_DONE) for one in group.signs)
        ink = Ink.TEXT if group.current or wrong or group.signs[0] is not None else Ink.QUIET
        painter.setPen(ink.colour)
        words = f"{group.name} {group.count}".strip()
        painter.drawText(QRectF(left + 0.15 * size, room.top(), room.right() - left, room.height()), _LEFT, words)


def _in_words(group: GroupSummary) -> str:
    signs = ", ".join("to come" if one is None else str(one) for one in group.signs)
    return f"{group.name} {group.count}: {signs}".replace(" :", ":") + (" (now)" if group.current else "")
