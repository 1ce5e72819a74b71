"""The question that is looked at: large, with what is expected and what is kept."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget

__all__ = ["QuestionCard"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class QuestionCard(CardFrame):
    """One thing at a time; a doubt or a hazard takes its place where there is one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=14, spacing=4)
        head = QHBoxLayout()
        bare(head, spacing=12)
        self.words = FitLabel(24, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.place = FitLabel(18, ink=Ink.QUIET, align=_RIGHT)
        head.addWidget(self.words, 60)
        head.addWidget(self.place, 40)
        self.asks = FitLabel(34, bold=QFont.Weight.DemiBold)
        self.expected = FitLabel(19, ink=Ink.QUIET)
        kept = QHBoxLayout()
        bare(kept, spacing=10)
        self.sign, self.kept = SignWidget(), FitLabel(30, bold=QFont.Weight.Bold)
        kept.addWidget(self.sign, 8)
        kept.addWidget(self.kept, 92)
        self.cautions = FitLabel(18, ink=Ink.BAD, align=_TOP)
        column.addLayout(head, 14)
        column.addWidget(self.asks, 36)
        column.addWidget(self.expected, 13)
        column.addLayout(kept, 18)
        column.addWidget(self.cautions, 19)
        self._column = column
        self.setAccessibleName("the question")

    def show_question(
        self, words: str, place: str, asks: str, expected: str, kept: tuple[str, Shape, Ink], cautions: str
    ) -> None:
        """kept: what stands as the answer, in words, with its sign."""
        self.lay_on(Ink.CARD)
        self._say(words, place, asks, f"expected: {expected}" if expected else "", kept, cautions)

    def show_plain(self, words: str) -> None:
        """Lines in place of cautions, that warn of nothing."""
        self.cautions.say(words)
        self.cautions.say_in(Ink.TEXT)
        self._column.setStretch(1, 14)
        self._column.setStretch(2, 0)
        self._column.setStretch(4, 74)

    def show_doubt(self, words: str, typed: str, why: str) -> None:
        """An answer that can hardly be meant waits for a yes."""
        self.lay_on(Ink.DOUBT_PALE)
        asks = f"{why[:1].upper()}{why[1:]}. Is {typed} right?"
        self._say(words, "", asks, "", ("Y keeps it, N types it anew", Shape.QUERY, Ink.DOUBT), "")

    def show_gate(self, why: str) -> None:
        """Something stands against beginning."""
        self.lay_on(Ink.BAD_PALE)
        asks = f"{why[:1].upper()}{why[1:]}."
        kept = ("Varnish closes the unit, and what is wrong inside stays in it.", Shape.BANG, Ink.BAD)
        self._say("varnish: not ready", "", asks, "Test it first (5).", kept, "")

    def _say(
        self, words: str, place: str, asks: str, expected: str, kept: tuple[str, Shape, Ink], cautions: str
    ) -> None:
        self.words.say(words)
        self.place.say(place)
        self.asks.say(asks)
        self.expected.say(expected)
        self.kept.say(kept[0])
        self.kept.say_in(kept[2])
        self.sign.show_sign(kept[1], kept[2])
        self._column.setStretch(1, 36)
        self._column.setStretch(2, 13 if expected else 0)
        self.cautions.say(cautions)
        self.cautions.say_in(Ink.BAD)
        self._column.setStretch(4, 30 if len(cautions) > 160 else 19 if cautions else 0)
