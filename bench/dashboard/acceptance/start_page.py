"""Before the test: with which meter, by which procedure, and what went before."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink
from bench.dashboard.state import TEST_STANDS, Snapshot
from bench.design.expected import needs_for_test
from bench.records.moments import minute
from bench.sitting.test_stands import TestStands

__all__ = ["TestStartPage", "standing_words", "stands_in"]

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
        self.stands = FitLabel(30, bold=QFont.Weight.Bold)
        told.addWidget(self.stands, 22)
        told.addWidget(self.meter_words, 14)
        told.addWidget(self.procedure_words, 10)
        told.addWidget(self.before, 36)
        told.addWidget(self.needs, 18)
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
        self.stands.say(standing_words(stands_in(state)))
        needs = [] if state.job is None else needs_for_test(state.job)
        self.needs.say("" if not needs else "The job lacks, for a test: " + "; ".join(map(str, needs)))


def stands_in(state: Snapshot) -> TestStands | None:
    """What the record says of the job's last test, once it was looked at."""
    found = state.reckoned.get(TEST_STANDS)
    return None if found is None else found.value


def standing_words(stands: TestStands | None) -> str:
    """In a line: whether beginning goes on with it, or how it ended."""
    if stands is None:
        return "No test of it is kept yet"
    steps = f"{stands.steps} step{'' if stands.steps == 1 else 's'}"
    if stands.goes_on:
        return f"A test begun {minute(stands.begun)} goes on: {steps} {'is' if stands.steps == 1 else 'are'} kept"
    ended = f"Tested {minute(stands.ended)}: {stands.verdict.upper()}" if stands.verdict else "The last test was left"
    return f"{ended}, {steps}" + ("; changed since" if stands.changed else "")
