"""The verdict of the unit, in the largest type of all, with what it rests on."""

from __future__ import annotations

from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.acceptance.result import TestResult
from bench.dashboard.acceptance.conclusions import outcome_text
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import ink_of_verdict, shape_of_verdict
from bench.dashboard.parts.signs import SignWidget

__all__ = ["VerdictCard"]


class VerdictCard(CardFrame):
    """Sign, word, sentence."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = QHBoxLayout(self)
        bare(line, margin=14, spacing=14)
        self.sign = SignWidget()
        self.word = FitLabel(72, bold=QFont.Weight.Bold)
        self.outcome = FitLabel(22)
        line.addWidget(self.sign, 24)
        words = QVBoxLayout()
        bare(words, spacing=2)
        words.addWidget(self.word, 58)
        words.addWidget(self.outcome, 42)
        line.addLayout(words, 76)

    def show_result(self, result: TestResult) -> None:
        ink, ground = ink_of_verdict(result.verdict)
        self.lay_on(ground)
        self.sign.show_sign(shape_of_verdict(result.verdict), ink)
        self.word.say(str(result.verdict).upper())
        self.word.say_in(ink)
        self.outcome.say(outcome_text(result))
