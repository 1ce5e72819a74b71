"""The winding as it is seen from the machine: the count first, then what is due, then the section that fills."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.desk import Desk
from bench.dashboard.instruments import Health
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.face import Face
from bench.dashboard.state import Snapshot
from bench.dashboard.winding.acts import WindingActs
from bench.dashboard.winding.due import due_at, due_at_the_end
from bench.dashboard.winding.due_band import DueBand
from bench.dashboard.winding.figures import Figures
from bench.dashboard.winding.former_panel import FormerPanel
from bench.dashboard.winding.on_the_way import OnTheWay
from bench.dashboard.winding.start_page import StartPage

__all__ = ["WindingFace"]

_AWAY = (Health.LOST, Health.SILENT)


class WindingFace(Face):
    """While it is wound, left the figures, right the section and what happened on the way, below what is due; before
    it, what to wind."""

    def __init__(self, desk: Desk | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Snapshot | None = None
        self._health: Health | None = None
        self.start = StartPage()
        winding = QWidget()
        self._pages = QStackedLayout(self)
        self._pages.addWidget(winding)
        self._pages.addWidget(self.start)
        self.figures, self.former, self.way, self.due = Figures(), FormerPanel(), OnTheWay(), DueBand()
        self._acts_of = None if desk is None else WindingActs(desk, self)
        column = QVBoxLayout(winding)
        bare(column, spacing=8)
        line = QHBoxLayout()
        bare(line, spacing=10)
        line.addWidget(self.figures, 55)
        right = QVBoxLayout()
        bare(right, spacing=8)
        right.addWidget(self.former, 77)
        right.addWidget(self.way, 23)
        line.addLayout(right, 45)
        column.addLayout(line, 80)
        column.addWidget(self.due, 20)
        if self._acts_of is not None:
            self.due.pressed.connect(self._acts_of.press)

    def arrived(self) -> None:
        if self._acts_of is not None:
            self._acts_of.arrived()

    def show_state(self, state: Snapshot, now: float) -> None:
        """Draw what changed; `now` [s, monotonic] tells whether the count is still fresh."""
        health = state.counter.health(now)
        if state is self._shown and health is self._health:
            return
        if self._acts_of is not None:
            self.start.show_state(state)
            self._pages.setCurrentIndex(1 if self._acts_of.show_state(state) else 0)
        shown, self._shown = self._shown, state
        renewed = health is not self._health or shown is None
        self._health = health
        if state.winding is None or state.job is None:
            self.figures.show_nothing()
            self.due.show_due(due_at(None, away=False), keys=False)
            return
        if renewed or shown is None or shown.winding is not state.winding:
            self.figures.show_winding(state.winding)
        away = health in _AWAY and state.wound is None
        if renewed or shown is None or _drawn(shown) != _drawn(state):
            self.figures.show_progress(state.progress, away=away, by_hand=state.hand_count is not None)
            self.former.show_former(state)
        self._show_due(state, lost=health is Health.LOST)
        if renewed or shown is None or shown.happenings is not state.happenings or shown.progress != state.progress:
            self.way.show_way(state.happenings, state.progress, self.former.planned)

    def renew(self) -> None:
        """Draw anew, though nothing came."""
        self._shown = None

    def _show_due(self, state: Snapshot, *, lost: bool) -> None:
        if state.wound is not None:
            due = due_at_the_end(state.wound)
        else:
            due = due_at(state.progress, away=lost, by_hand=state.hand_count is not None)
        self.due.show_due(due, keys=self._acts_of is not None)


def _drawn(state: Snapshot) -> tuple[object, ...]:
    """What figures and section are drawn from."""
    return id(state.progress), id(state.winding), id(state.windings), id(state.job), id(state.wound)
