"""Before the test: with which meter, by which procedure, and what went before."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink
from bench.dashboard.state import Snapshot
from bench.design.expected import needs_for_test

__all__ = ["TestStartPage"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_BEFORE = (
    "Unplugged and discharged is where it begins: ohms and insulation first, a few volts next, mains last and through "
    "the limiter. A test that is broken off goes on where it was: nothing that was read or typed is asked for again.\n"
    "Follow your local codes; leave to a licensed person what they keep for one."
)


class TestStartPage(QWidget):
    """meter: PROFILE@PORT, a name of the bench file, or hand; empty while none is chosen.  procedure: empty for the one
    that is due."""

    __test__ = False

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, spacing=10)
        self.title = FitLabel(34, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.title.say("The acceptance test")
        card = CardFrame()
        told = QVBoxLayout(card)
        bare(told, margin=20, spacing=10)
        self.meter_words, self.procedure_words = FitLabel(30, bold=QFont.Weight.Bold), FitLabel(26)
        self.needs, self.before = FitLabel(24, ink=Ink.BAD, align=_TOP), FitLabel(24, align=_TOP)
        self.before.say(_BEFORE)
        told.addWidget(self.meter_words, 14)
        told.addWidget(self.procedure_words, 12)
        told.addWidget(self.before, 50)
        told.addWidget(self.needs, 24)
        column.addWidget(self.title, 10)
        column.addWidget(card, 90)
        self.meter = self.procedure = ""
        self.use_meter("")
        self.use_procedure("")

    def use_meter(self, meter: str) -> None:
        self.meter = meter
        if not meter:
            self.meter_words.say("No meter chosen yet: M chooses PROFILE@PORT, a name of the bench file, or hand")
        elif meter == "hand":
            self.meter_words.say("Read by hand, from any meter, and typed")
        else:
            self.meter_words.say(f"Read by {meter}")

    def use_procedure(self, procedure: str) -> None:
        self.procedure = procedure
        self.procedure_words.say(f"By the procedure {procedure or 'that is due by the record'}")

    def show_state(self, state: Snapshot) -> None:
        needs = [] if state.job is None else needs_for_test(state.job)
        self.needs.say("" if not needs else "The job lacks, for a test: " + "; ".join(map(str, needs)))
