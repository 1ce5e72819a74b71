"""Asks for a line or two at the foot of the window: everything above goes on meanwhile."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import QCompleter, QHBoxLayout, QLineEdit, QSizePolicy, QWidget

from bench.dashboard.parts.act import Question
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, font_of, scale_of

__all__ = ["LineAsker"]

_SHOWN_WHOLE = 8
"""Choices; of more than these, those that hold what is typed."""
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class LineAsker(CardFrame):
    """`done` when it was answered or given up."""

    done = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._question: Question | None = None
        self._answers: list[str] = []
        self._before: tuple[str, ...] = ()
        line = QHBoxLayout(self)
        bare(line, margin=8, spacing=12)
        self.what = FitLabel(22, bold=QFont.Weight.Bold, ink=Ink.COPPER, align=_RIGHT)
        self.line = QLineEdit()
        self.line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.line.installEventFilter(self)
        self.line.returnPressed.connect(self._entered)
        self.problem = FitLabel(17, ink=Ink.BAD)
        self.keys = FitLabel(15, ink=Ink.QUIET)
        self.keys.say("Enter takes it   Esc: never mind")
        line.addWidget(self.what, 30)
        line.addWidget(self.line, 34)
        line.addWidget(self.problem, 20)
        line.addWidget(self.keys, 16)

    def put(self, question: Question) -> None:
        self._question, self._answers, self._before = question, [], ()
        completer = QCompleter(list(question.choices)) if question.choices else None
        if completer is not None and len(question.choices) > _SHOWN_WHOLE:
            completer.setFilterMode(Qt.MatchFlag.MatchContains)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        elif completer is not None:
            completer.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        self.line.setCompleter(completer)  # type: ignore[arg-type]
        self._next()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's name)
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress:
            if event.isAutoRepeat() and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                return True  # still the press that put the question: it is no answer
            if event.key() == Qt.Key.Key_Escape:
                self._end()
                return True
            if event.key() == Qt.Key.Key_Down and self._question is not None and self._question.choices:
                completer = self.line.completer()
                if completer is not None:
                    completer.complete()
                return True
        return super().eventFilter(watched, event)

    def _next(self, problem: str = "") -> None:
        assert self._question is not None
        asked = self._question.asks[len(self._answers)]
        self.what.say(asked)
        self.problem.say(problem)
        self.line.setAccessibleName(asked)
        self.line.setFont(font_of(round(22 * scale_of(self))))
        place = len(self._answers)
        # what was typed before it was refused is there to be mended, and goes with the first letter that is typed anew
        self.line.setText(self._before[place] if place < len(self._before) else "")
        self.line.selectAll()
        QTimer.singleShot(0, self.line, lambda: self.line.setFocus())

    def _entered(self) -> None:
        if self._question is None:
            return
        answers = (*self._answers, self.line.text().strip())
        self._before = (*answers, *self._before[len(answers) :])
        check = self._question.check
        wrong = check(answers[0]) if check is not None and len(answers) == 1 else ""
        if wrong:
            self._next(wrong)
            return
        if len(answers) < len(self._question.asks):
            self._answers = list(answers)
            self._next()
            return
        question = self._question
        problem = question.answered(answers)
        if self._question is not question:
            return  # the answer put another question
        if problem:
            self._answers = []
            self._next(problem)
        else:
            self._end()

    def _end(self) -> None:
        self._question = None
        self.done.emit()
