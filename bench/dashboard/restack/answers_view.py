"""All answers of a stage on one screen, each with its sign, in two columns."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.restack.answer_row import AnswerRow, sign_of
from bench.sitting.stage_answering import StageStands
from bench.winding.stage import Question

__all__ = ["AnswersView"]

_COLUMNS = 2
_LEAST_ROWS = 8


class AnswersView(CardFrame):
    """`wanted` with the key of a question that somebody goes to."""

    wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        bare(self._grid, margin=10, spacing=2)
        self._grid.setColumnStretch(0, 1)
        self._grid.setColumnStretch(1, 1)
        self.rows: list[AnswerRow] = []
        self.setAccessibleName("all answers")

    def show_answers(self, stage: StageStands, asked: tuple[Question, ...], current: str) -> None:
        """asked: those that are asked at all, given what is answered."""
        self._make(len(asked) + 1)
        for row, question in zip(self.rows, asked, strict=False):
            value = stage.known.text(question.key)
            sign = sign_of(question, value, stage.account.remarks)
            row.show_answer(question.key, question.words, value or "", sign, question.key == current)
        number = len(stage.photographs)
        sign = (Shape.TICK, Ink.GOOD) if number else (Shape.DASH, Ink.LINE)
        self.rows[-1].show_answer("", "photographs", str(number) if number else "", sign, False)

    def _make(self, number: int) -> None:
        if len(self.rows) == number:
            return
        for row in self.rows:
            self._grid.removeWidget(row)
            row.hide()
            row.deleteLater()
        self.rows = [AnswerRow() for _ in range(number)]
        high = max(_LEAST_ROWS, -(-number // _COLUMNS))
        for place in range(self._grid.rowCount()):
            self._grid.setRowStretch(place, 0)
        for place in range(high):
            self._grid.setRowStretch(place, 1)
        for place, row in enumerate(self.rows):
            self._grid.addWidget(row, place % high, place // high)
            row.clicked.connect(lambda checked=False, of=row: self.wanted.emit(of.key))
