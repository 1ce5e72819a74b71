"""The faults that would explain the readings, with evidence and next check; quiet when there is none."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from bench.dashboard.acceptance.conclusions import (
    MOST_FINDINGS,
    FoundFault,
    found_faults,
    next_text,
    not_done_text,
    other_checks_text,
    quiet_text,
    so_far_text,
    to_settle_text,
)
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel, height_of
from bench.dashboard.parts.look import Ink
from bench.dashboard.state import Snapshot

__all__ = ["FindingsView"]


_TITLE_HEIGHT = 44
"""[px], beside the heights that the findings ask for."""
_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
# Shares of title, quiet text and the other checks, where there are none.
_ALONE = (30, 70, 0)
_SENTENCE, _QUIET, _CHECK, _DETAIL = 27, 26, 23, 19
"""Sizes of type [px]."""


class FindingsView(CardFrame):
    """A title, then either the findings or one quiet text;  small: without its title, where there is little room."""

    def __init__(self, *, small: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._small = small
        column = QVBoxLayout(self)
        bare(column, margin=8 if small else 14, spacing=3 if small else 6)
        self.title = FitLabel(19, bold=QFont.Weight.Bold)
        column.addWidget(self.title, 18)
        self.quiet = FitLabel(_QUIET, align=_TOP)
        self.others = FitLabel(_DETAIL, ink=Ink.QUIET, align=_TOP)
        column.addWidget(self.quiet, 82)
        column.addWidget(self.others, 0)
        self.blocks = [FindingBlock() for _ in range(MOST_FINDINGS)]
        self._blocks_from = column.count()
        for block in self.blocks:
            column.addWidget(block, 30)
        self.following, self.left_out = FitLabel(_CHECK), FitLabel(_DETAIL, ink=Ink.QUIET)
        column.addWidget(self.following, 0)
        column.addWidget(self.left_out, 0)
        self._column = column

    def show_state(self, state: Snapshot) -> None:
        if state.verdict is None:
            self._show_quiet("so far", so_far_text(state), to_settle_text(state))
            return
        faults = found_faults(state.verdict)
        if faults:
            self._show_faults(faults, len(state.verdict.findings) - len(faults))
            self._show_after(next_text(state.verdict), not_done_text(state.verdict))
            return
        words = "\n".join(part for part in (quiet_text(state.verdict), not_done_text(state.verdict)) if part)
        # At a quiet end there is room for the steps that have no other place.
        self._show_quiet("findings", words, other_checks_text(state.verdict))

    def _show_quiet(self, title: str, words: str, others: str) -> None:
        self.title.say(title)
        self.quiet.say(words)
        self.others.say(others)
        self.quiet.show()
        self.others.setVisible(bool(others))
        self._show_after("", "")
        for block in self.blocks:
            block.hide()
        # Each by what it says; where there is no other text the quiet one has all the room.
        self.title.setVisible(not self._small)
        by_need = (_TITLE_HEIGHT, height_of(words, 42, _QUIET), height_of(others, 54, _DETAIL))
        if self._small:
            by_need = (0, height_of(words, 42, _CHECK), height_of(others, 26, _DETAIL))
        for place, share in enumerate(by_need if others else _ALONE):
            self._column.setStretch(place, share)

    def _show_after(self, following: str, left_out: str) -> None:
        """Below the findings: what to measure next, and what was left out."""
        place = self._blocks_from + MOST_FINDINGS
        for label, words, size in ((self.following, following, _CHECK), (self.left_out, left_out, _DETAIL)):
            label.say(words)
            label.setVisible(bool(words))
            self._column.setStretch(place, height_of(words, 44, size) if words else 0)
            place += 1

    def _show_faults(self, faults: tuple[FoundFault, ...], left_out: int) -> None:
        self.title.say("what would explain the readings" + (f" ({left_out} less likely left out)" if left_out else ""))
        self.quiet.hide()
        self.others.hide()
        for place, share in enumerate((_TITLE_HEIGHT, 0, 0)):
            self._column.setStretch(place, share)
        for place, block in enumerate(self.blocks):
            block.setVisible(place < len(faults))
            if place < len(faults):
                # The first says most, and each gets room by what it says.
                need = block.show_fault(faults[place], in_full=place == 0)
                self._column.setStretch(self._blocks_from + place, need)


class FindingBlock(QWidget):
    """One finding: its sentence beside its probability, then what speaks for it, the check and the remedy."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        column = QVBoxLayout(self)
        bare(column, spacing=3)
        head = QHBoxLayout()
        bare(head, spacing=10)
        self.bar = ProbabilityBar()
        self.sentence = FitLabel(_SENTENCE, bold=QFont.Weight.Bold)
        head.addWidget(self.bar, 24)
        head.addWidget(self.sentence, 76)
        self.check = FitLabel(_CHECK, align=_TOP)
        self.evidence = FitLabel(_DETAIL, ink=Ink.QUIET, align=_TOP)
        self.remedy = FitLabel(_DETAIL, align=_TOP)
        column.addLayout(head)
        for words in (self.evidence, self.check, self.remedy):
            column.addWidget(words)
        self._column = column

    def show_fault(self, fault: FoundFault, *, in_full: bool) -> int:
        """Show it, with evidence and remedy where it is to be told in full; gives the height that it asks for [px]."""
        self.bar.show_probability(fault.probability)
        self.sentence.say(fault.sentence)
        self.check.say(f"Check next: {fault.check}")
        self.evidence.say(fault.evidence)
        several = "\n" in fault.remedy
        self.remedy.say(f"Remedy, the least work first:\n{fault.remedy}" if several else f"Remedy: {fault.remedy}")
        self.evidence.setVisible(in_full)
        self.remedy.setVisible(in_full)
        needs = [max(60, height_of(fault.sentence, 24, _SENTENCE)), 0, height_of(self.check.text(), 40, _CHECK), 0]
        if in_full:
            needs[1] = height_of(fault.evidence, 55, _DETAIL)
            needs[3] = height_of(self.remedy.text(), 50, _DETAIL)
        for place, need in enumerate(needs):
            self._column.setStretch(place, need)
        return sum(needs)


class ProbabilityBar(QWidget):
    """A probability as figures over a bar."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._probability = 0.0
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        column = QVBoxLayout(self)
        bare(column)
        self.figures = FitLabel(30, bold=QFont.Weight.Bold, ink=Ink.COPPER, like="> 99 %")
        column.addWidget(self.figures, 70)
        column.addStretch(30)

    def show_probability(self, probability: float) -> None:
        self._probability = probability
        # No test makes a fault certain, however many figures the arithmetic gives.
        self.figures.say("> 99 %" if probability > 0.99 else f"{probability * 100:.0f} %")
        self.setAccessibleName(f"probability {self.figures.text()}")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        bar = QRectF(0.5, self.height() * 0.76, self.width() - 1, max(5.0, self.height() * 0.16))
        painter.setPen(QPen(Ink.LINE.colour, 1))
        painter.setBrush(Ink.EMPTY.colour)
        painter.drawRect(bar)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Ink.COPPER.colour)
        painter.drawRect(QRectF(bar.left(), bar.top(), bar.width() * self._probability, bar.height()))
        painter.end()
