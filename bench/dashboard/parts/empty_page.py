"""What a face shows while there is nothing to show: what is missing, and which key begins it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink

__all__ = ["EmptyPage"]

_LOW = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom
_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


class EmptyPage(CardFrame):
    """A sentence that is read from afar, and what to do."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=40, spacing=12)
        self.what = FitLabel(56, bold=QFont.Weight.Bold, ink=Ink.COPPER, align=_LOW)
        self.then = FitLabel(28, align=_TOP)
        column.addWidget(self.what, 45)
        column.addWidget(self.then, 55)

    def say(self, what: str, then: str) -> None:
        self.what.say(what)
        self.then.say(then)
        self.setAccessibleName(what)
        self.setAccessibleDescription(then)
