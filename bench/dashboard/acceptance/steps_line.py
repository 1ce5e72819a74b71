"""All steps of the test on one line, by kind, each with the sign of its verdict: how far, and what is wrong where."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.acceptance.decision import Verdict
from bench.dashboard.acceptance.comparison import Group, groups_of
from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, font_of, ink_of_verdict, scale_of, shape_of_verdict
from bench.dashboard.parts.signs import draw_sign
from bench.dashboard.state import Snapshot

__all__ = ["StepsLine"]

_LEAST = 9


class StepsLine(CardFrame):
    """Groups side by side, each a name over its signs; the current step is framed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._groups: tuple[Group, ...] = ()
        self._step = ""
        self._left_out: frozenset[str] = frozenset()
        self.setAccessibleName("steps of the test")

    def show_state(self, state: Snapshot) -> None:
        groups = groups_of(state.plan, state.results)
        left_out = frozenset(one.id for one in state.verdict.not_done) if state.verdict is not None else frozenset()
        step = state.step if state.verdict is None else ""
        if (groups, step, left_out) != (self._groups, self._step, self._left_out):
            self._groups, self._step, self._left_out = groups, step, left_out
            self.update()

    def name_size(self) -> int:
        """Size of the names' type [px] with which all groups fit side by side; less than 9 means that they don't."""
        size = round(16 * scale_of(self))
        while size >= _LEAST and sum(self._widths(size)) > self.width():
            size -= 1
        return size

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        if not self._groups:
            return
        painter = QPainter(self)
        size = max(_LEAST, self.name_size())
        widths = self._widths(size)
        spare = max(0.0, self.width() - sum(widths)) / len(widths)
        left = 0.0
        for group, width in zip(self._groups, widths, strict=True):
            room = QRectF(left, 0, width + spare, self.height())
            self._draw_group(painter, group, room, size)
            left += width + spare
            if group is not self._groups[-1]:
                painter.setPen(QPen(Ink.LINE.colour, 1))
                painter.drawLine(round(left), round(self.height() * 0.2), round(left), round(self.height() * 0.8))
        painter.end()

    def _widths(self, size: int) -> list[float]:
        metrics = QFontMetricsF(font_of(size))
        bead = self._bead()
        return [max(metrics.horizontalAdvance(g.name), bead * len(g.cells)) + 0.8 * size for g in self._groups]

    def _bead(self) -> float:
        """Room for one sign [px]."""
        return self.height() * 0.40

    def _draw_group(self, painter: QPainter, group: Group, room: QRectF, size: int) -> None:
        painter.setFont(font_of(size))
        current = any(cell.id == self._step for cell in group.cells)
        painter.setPen(Ink.TEXT.colour if current else Ink.QUIET.colour)
        name = QRectF(room.left(), self.height() * 0.08, room.width(), self.height() * 0.38)
        painter.drawText(name, Qt.AlignmentFlag.AlignCenter, group.name)
        bead = self._bead()
        left = room.center().x() - bead * len(group.cells) / 2
        for number, cell in enumerate(group.cells):
            verdict = None if cell.result is None else cell.result.verdict
            if verdict is None and cell.id in self._left_out:
                verdict = Verdict.NOT_DONE
            place = QRectF(left + number * bead, self.height() * 0.50, bead, bead)
            shape, ink = shape_of_verdict(verdict), ink_of_verdict(verdict)[0]
            if verdict is None and cell.id == self._step:
                shape, ink = Shape.DOT, Ink.COPPER
            draw_sign(painter, place.adjusted(2, 2, -2, -2), shape, ink)
