"""The last thing that was said to the person, with a sign of how grave it is."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QWidget

from bench.dashboard import news as told
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget

__all__ = ["SaidLine"]


class SaidLine(CardFrame):
    """Stands until something else is said."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = QHBoxLayout(self)
        bare(line, margin=4, spacing=8)
        self.sign, self.words = SignWidget(), FitLabel(18)
        line.addWidget(self.sign, 3)
        line.addWidget(self.words, 97)
        self.setAccessibleName("what was said last")

    def show_said(self, said: tuple[told.Said, ...]) -> None:
        last = said[0] if said else None
        grave = last is not None and last.grave
        self.lay_on(Ink.BAD_PALE if grave else Ink.CARD)
        shape = Shape.NONE if last is None else Shape.BANG if grave else Shape.DOT
        self.sign.show_sign(shape, Ink.BAD if grave else Ink.QUIET)
        self.words.say("" if last is None else last.words)
        self.words.say_in(Ink.BAD if grave else Ink.TEXT)
