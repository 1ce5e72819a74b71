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

_STEP, _VERDICT, _FINDINGS = 0, 1, 2
_ON_THE_WAY = (80, 0, 20)
_AT_THE_END = (0, 27, 73)


class AcceptanceFace(Face):
    """The steps along the top; left the step or the verdict over the findings; right measured against designed."""

    def __init__(self, desk: Desk | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Snapshot | None = None
        self.start = TestStartPage()
        test = QWidget()
        self._pages = QStackedLayout(self)
        self._pages.addWidget(test)
        self._pages.addWidget(self.start)
        self.acts_of = None if desk is None else AcceptanceActs(desk, self)
        column = QVBoxLayout(test)
        bare(column, spacing=10)
        self.steps = StepsLine()
        column.addWidget(self.steps, 10)
        body = QHBoxLayout()
        bare(body, spacing=10)
        self._left = QVBoxLayout()
        bare(self._left, spacing=10)
        self.step, self.verdict, self.findings = StepCard(), VerdictCard(), FindingsView()
        self._left.addWidget(self.step, 74)
        self._left.addWidget(self.verdict, 0)
        self._left.addWidget(self.findings, 26)
        self.verdict.hide()
        right = QVBoxLayout()
        bare(right, spacing=10)
        self.comparison, self.exciting = ComparisonView(), ExcitingView()
        right.addWidget(self.comparison, 60)
        right.addWidget(self.exciting, 40)
        body.addLayout(self._left, 42)
        body.addLayout(right, 58)
        column.addLayout(body, 90)

    def renew(self) -> None:
        """Draw anew, though nothing came."""
        self._shown = None

    def show_state(self, state: Snapshot, now: float = 0.0) -> None:
        """Draw what changed."""
        if self.acts_of is not None:
            self.start.show_state(state)
            self._pages.setCurrentIndex(1 if self.acts_of.show_state(state, now) else 0)
        self.exciting.show_state(state)
        if state is self._shown:
            return
        self._shown = state
        self.steps.show_state(state)
        self.comparison.show_state(state)
        over = state.verdict is not None
        self.step.setVisible(not over)
        self.verdict.setVisible(over)
        for place, share in zip((_STEP, _VERDICT, _FINDINGS), _AT_THE_END if over else _ON_THE_WAY, strict=True):
            self._left.setStretch(place, share)
        if state.verdict is not None:
            self.verdict.show_result(state.verdict)
        else:
            self.step.show_state(state)
        self.findings.show_state(state)
