"""Before the first turn: choose winding and counter, then begin."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink
from bench.dashboard.state import Snapshot
from bench.dashboard.winding.choice import WindingChoice

__all__ = ["StartPage"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


class StartPage(QWidget):
    """counter: PROFILE@PORT or a name of the bench file; empty while none is chosen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, spacing=10)
        self.title = FitLabel(30, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.title.say("Which winding goes on?")
        self.choice = WindingChoice()
        self.counted_by = CardFrame()
        told = QVBoxLayout(self.counted_by)
        bare(told, margin=12, spacing=2)
        self.counter_words = FitLabel(24, bold=QFont.Weight.Bold)
        self.hint = FitLabel(17, ink=Ink.QUIET, align=_TOP)
        told.addWidget(self.counter_words, 50)
        told.addWidget(self.hint, 50)
        column.addWidget(self.title, 8)
        column.addWidget(self.choice, 74)
        column.addWidget(self.counted_by, 18)
        self.counter = ""
        self.use_counter("")

    def use_counter(self, counter: str) -> None:
        self.counter = counter
        self.counter_words.say(f"Counted by {counter}" if counter else "No counter chosen yet")
        self.hint.say(
            "The count is kept turn by turn: cable out, power gone or window closed, it goes on where the coil stands."
            if counter
            else "C chooses one: PROFILE@PORT, such as hall@/dev/ttyACM0, or its name in your bench file."
        )

    def show_state(self, state: Snapshot) -> None:
        self.choice.show_state(state)
