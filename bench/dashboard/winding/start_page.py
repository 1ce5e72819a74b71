"""Before the first turn: choose winding and counter, then begin."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink
from bench.dashboard.state import Snapshot
from bench.dashboard.winding.choice import WindingChoice
from bench.dashboard.winding.counter_choice import CounterChoice

__all__ = ["StartPage"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_KEPT = "The count is kept turn by turn: cable out, power gone or window closed, it goes on where the coil stands."


class StartPage(QWidget):
    """counter: PROFILE@PORT, a name of the bench file, or hand; empty while none is chosen.  start: turns that are on
    already, None where nobody said."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.start: float | None = None
        column = QVBoxLayout(self)
        bare(column, spacing=10)
        self.choice, self.counters = WindingChoice(), CounterChoice()
        halves = QHBoxLayout()
        bare(halves, spacing=10)
        for title, part, share in (
            ("Which winding goes on?", self.choice, 60),
            ("What counts it?", self.counters, 40),
        ):
            half = QVBoxLayout()
            bare(half, spacing=6)
            asked = FitLabel(28, bold=QFont.Weight.Bold, ink=Ink.COPPER)
            asked.say(title)
            half.addWidget(asked, 9)
            half.addWidget(part, 91)
            halves.addLayout(half, share)
        self.hint = FitLabel(18, ink=Ink.QUIET, align=_TOP)
        column.addLayout(halves, 92)
        column.addWidget(self.hint, 8)
        self.start_from(None)

    @property
    def counter(self) -> str:
        return self.counters.chosen

    def use_counter(self, counter: str) -> None:
        self.counters.choose(counter)

    def start_from(self, turns: float | None) -> None:
        """So many are on already."""
        self.start = turns
        self.hint.say(_KEPT if turns is None else f"It starts from {turns:g} turns that are on already.")
        self.hint.say_in(Ink.QUIET if turns is None else Ink.TEXT)

    def show_state(self, state: Snapshot) -> None:
        self.choice.show_state(state)
        found = state.reckoned.get("ports")
        if found is not None and found.value is not None:
            self.counters.show_ports(found.value)
