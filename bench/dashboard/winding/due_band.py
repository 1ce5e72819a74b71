"""The band along the foot of the winding: what is to be done now, so large that nobody misses it, with its key."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.key_button import KeyButton
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.winding.due import Due

__all__ = ["DueBand"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_LONG = 80
"""Characters that need more than a line."""
_FOOT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom


class DueBand(CardFrame):
    """`pressed` with the key of its button."""

    pressed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Due | None = None
        self._keyed = self._elsewhere = False
        self._line = QHBoxLayout(self)
        bare(self._line, margin=10, spacing=14)
        self.sign = SignWidget()
        self.head = FitLabel(44, bold=QFont.Weight.Bold)
        self.words = FitLabel(40, bold=QFont.Weight.Bold, align=_FOOT)
        self.more = FitLabel(22, align=_TOP)
        self.button = KeyButton("Space", "done", strong=True, large=True)
        self.button.clicked.connect(lambda: self.pressed.emit(self.button.key))
        self._told = QVBoxLayout()
        bare(self._told, spacing=2)
        self._told.addWidget(self.words)
        self._told.addWidget(self.more)
        self._line.addWidget(self.sign, 6)
        self._line.addWidget(self.head, 16)
        self._line.addLayout(self._told, 60)
        self._line.addWidget(self.button, 18)
        self.setAccessibleName("what is to be done now")

    def keys_go_elsewhere(self, elsewhere: bool) -> None:
        """While a line is typed the key means a letter: it is not shown."""
        self._elsewhere = elsewhere
        self.button.setVisible(self._keyed and not elsewhere)

    def show_due(self, due: Due, *, keys: bool = True) -> None:
        """keys: whether a person can press them here."""
        if due == self._shown:
            return
        self._shown = due
        self.lay_on(due.ground)
        self.sign.show_sign(due.shape, due.ink)
        self.sign.setVisible(due.shape is not Shape.NONE)
        self.head.say(due.head)
        self.head.say_in(Ink.COPPER_PALE if due.ground is Ink.TEXT else due.ink)
        long = len(due.more) > _LONG
        for place, share in enumerate((36, 64) if long else (56, 44)):
            self._told.setStretch(place, share)
        self.words.say(due.words)
        self.more.say(due.more)
        dark = due.ground is Ink.TEXT
        self.words.say_in(Ink.CARD if dark else Ink.TEXT)
        self.more.say_in(Ink.CARD if dark else Ink.TEXT if due.urgent else Ink.QUIET)
        self._keyed = keys and bool(due.key)
        self.button.setVisible(self._keyed and not self._elsewhere)
        if self._keyed:
            self.button.show_key(due.key, due.does)
        self.setAccessibleDescription(f"{due.head}: {due.words}. {due.more}".strip())
