"""The job that is looked at in the record: which, how its test ended, and whether its record is whole."""

from __future__ import annotations

from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.record.choice import sign_of_verdict
from bench.records.moments import day
from bench.sitting.jobs_known import JobLine
from bench.sitting.record_checked import Checked

__all__ = ["JobHead"]

_SHOWN = 2


class JobHead(CardFrame):
    """A record that is not whole takes the ground."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=10, spacing=2)
        self.name = FitLabel(26, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        tested, checked = QHBoxLayout(), QHBoxLayout()
        self.sign, self.verdict = SignWidget(), FitLabel(22, bold=QFont.Weight.DemiBold)
        self.whole, self.chain = SignWidget(), FitLabel(18)
        for line, sign, words in ((tested, self.sign, self.verdict), (checked, self.whole, self.chain)):
            bare(line, spacing=10)
            line.addWidget(sign, 5)
            line.addWidget(words, 95)
        column.addWidget(self.name, 38)
        column.addLayout(tested, 32)
        column.addLayout(checked, 30)
        self.setAccessibleName("the job that is looked at")

    def show_job(self, job: JobLine | None, checked: Checked | None, problem: str) -> None:
        """problem: why the record can't be read, empty where it can."""
        self.lay_on(Ink.BAD_PALE if problem or (checked is not None and checked.problems) else Ink.CARD)
        if job is None:
            self.name.say("No job is kept yet" if not problem else "The record can't be read")
            self.verdict.say("")
            self.sign.show_sign(Shape.NONE, Ink.QUIET)
        else:
            self.name.say(" ".join(part for part in (job.number, job.name) if part))
            shape, ink = sign_of_verdict(job.verdict)
            self.sign.show_sign(shape if job.verdict else Shape.RING, ink)
            tested = f"test {job.verdict} {day(job.tested_at)}" if job.verdict else "no test finished yet"
            self.verdict.say(f"{tested}; {job.last} last, {day(job.at)}" if job.at else "nothing is kept of it yet")
        self._show_chain(checked, problem, job is not None)

    def _show_chain(self, checked: Checked | None, problem: str, any_job: bool) -> None:
        if problem:
            said = (problem, Shape.BANG, Ink.BAD)
        elif checked is None:
            said = ("V verifies that nothing in it was altered" if any_job else "", Shape.NONE, Ink.QUIET)
        elif checked.problems:
            more = len(checked.problems) - _SHOWN
            lines = "; ".join(checked.problems[:_SHOWN])
            said = (f"{lines}; and {more} more" if more > 0 else lines, Shape.CROSS, Ink.BAD)
        else:
            said = (f"{checked.words}, head {checked.head[:12]}", Shape.TICK, Ink.GOOD)
        self.chain.say(said[0])
        self.chain.say_in(said[2])
        self.whole.show_sign(said[1], said[2])
