"""The acceptance test as it is seen from the bench: what is asked now, what was measured, what it means."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.acceptance.acts import AcceptanceActs
from bench.dashboard.acceptance.comparison_view import ComparisonView
from bench.dashboard.acceptance.exciting_view import ExcitingView
from bench.dashboard.acceptance.findings_view import FindingsView
from bench.dashboard.acceptance.start_page import TestStartPage
from bench.dashboard.acceptance.step_card import StepCard
from bench.dashboard.acceptance.steps_line import StepsLine
from bench.dashboard.acceptance.verdict_card import VerdictCard
from bench.dashboard.desk import Desk
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.face import Face
from bench.dashboard.state import Snapshot

__all__ = ["AcceptanceFace"]

_ON_THE_WAY, _TO_BE_READ, _AT_THE_END = (67, 0, 33), (100, 0, 0), (0, 44, 56)
"""Shares of the width: the step at hand, verdict and findings, what was measured."""


class AcceptanceFace(Face):
    """The steps along the top; the step at hand, at the end the verdict over the findings; beside it what was
    measured, against what was designed."""

    def __init__(self, desk: Desk | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._shown: Snapshot | None = None
        self.start = TestStartPage()
        test = QWidget()
        self._pages = QStackedLayout(self)
        self._pages.addWidget(test)
        self._pages.addWidget(self.start)
        self.acts_of = None if desk is None else AcceptanceActs(desk, self)
        if self.acts_of is not None:
            self.acts_of.certificate.put = self.put
        column = QVBoxLayout(test)
        bare(column, spacing=8)
        self.steps = StepsLine()
        column.addWidget(self.steps, 11)
        self._body = QHBoxLayout()
        bare(self._body, spacing=8)
        self.step, self.verdict, self.findings = StepCard(), VerdictCard(), FindingsView()
        self._end = QWidget()
        self._concluded = QVBoxLayout(self._end)
        bare(self._concluded, spacing=8)
        self._concluded.addWidget(self.verdict, 22)
        self._concluded.addWidget(self.findings, 78)
        self._measured = QVBoxLayout()
        bare(self._measured, spacing=8)
        self.comparison, self.exciting, self.so_far = ComparisonView(), ExcitingView(), FindingsView(small=True)
        self._measured.addWidget(self.comparison, 40)
        self._measured.addWidget(self.exciting, 33)
        self._measured.addWidget(self.so_far, 27)
        self._body.addWidget(self.step, _ON_THE_WAY[0])
        self._body.addWidget(self._end, _ON_THE_WAY[1])
        self._body.addLayout(self._measured, _ON_THE_WAY[2])
        self._end.hide()
        column.addLayout(self._body, 89)

    def arrived(self) -> None:
        if self._desk is not None and not self._desk.busy:
            self._desk.look_at_record()

    def renew(self) -> None:
        """Draw anew, though nothing came."""
        self._shown = None

    def show_state(self, state: Snapshot, now: float = 0.0) -> None:
        """Draw what changed."""
        if self.acts_of is not None:
            self.start.show_state(state)
            self._pages.setCurrentIndex(1 if self.acts_of.show_state(state, now) else 0)
        self.exciting.show_state(state)
        if state is not self._shown:
            self._shown = state
            self._show_new(state)
        if state.verdict is None:
            self.step.show_time(state, now)

    def _show_new(self, state: Snapshot) -> None:
        self.steps.show_state(state)
        self.comparison.show_state(state)
        over = state.verdict is not None
        self.step.setVisible(not over)
        self._end.setVisible(over)
        self.findings.show_state(state)
        if state.verdict is not None:
            self.verdict.show_result(state.verdict)
        else:
            self.step.show_state(state)
            self.so_far.show_state(state)
        # What was measured waits while there is much to be read that can hurt.
        self.so_far.setVisible(not over and not self.step.reads_long)
        for part in (self.comparison, self.exciting):
            part.setVisible(over or not self.step.reads_long)
        shares = _AT_THE_END if over else _TO_BE_READ if self.step.reads_long else _ON_THE_WAY
        for place, share in enumerate(shares):
            self._body.setStretch(place, share)
