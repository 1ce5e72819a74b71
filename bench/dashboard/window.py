"""The one window: the job and its stages above, the stage's face in the middle, the instruments below."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QFont, QKeySequence, QPalette, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.acceptance.face import AcceptanceFace
from bench.dashboard.instruments_strip import InstrumentsStrip
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import DESIGNED_FOR, Ink
from bench.dashboard.stage_rail import StageRail
from bench.dashboard.state import Snapshot, Stage
from bench.dashboard.winding.face import WindingFace
from bench.quantities import show

__all__ = ["Window"]

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_WINDING, _TEST = 0, 1
_LEAST = (1180, 700)
"""Below this [px] the full cautions can't be read any more."""


class Window(QWidget):
    """Shows a snapshot; `caption` says what stands behind the instruments.  Keys 1 and 2 look at winding and test."""

    closed = Signal()

    def __init__(self, caption: str) -> None:
        super().__init__()
        self._stage: Stage | None = None
        self._shown: Snapshot | None = None
        self.setWindowTitle("Turnproof")
        self.setMinimumSize(*_LEAST)
        self.resize(*DESIGNED_FOR)
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.Window, Ink.PAPER.colour)
        palette.setColor(QPalette.ColorRole.WindowText, Ink.TEXT.colour)
        self.setPalette(palette)
        column = QVBoxLayout(self)
        bare(column, margin=12, spacing=10)
        head = QHBoxLayout()
        bare(head, spacing=16)
        names = QVBoxLayout()
        bare(names)
        self.name = FitLabel(24, bold=QFont.Weight.Bold)
        self.facts = FitLabel(16, ink=Ink.QUIET)
        names.addWidget(self.name, 58)
        names.addWidget(self.facts, 42)
        self.rail = StageRail()
        self.caption = FitLabel(16, ink=Ink.QUIET, align=_RIGHT)
        self.caption.say(caption)
        head.addLayout(names, 42)
        head.addWidget(self.rail, 34)
        head.addWidget(self.caption, 24)
        column.addLayout(head, 8)
        self.winding, self.test = WindingFace(), AcceptanceFace()
        self._faces = QStackedLayout()
        self._faces.addWidget(self.winding)
        self._faces.addWidget(self.test)
        column.addLayout(self._faces, 81)
        self.instruments = InstrumentsStrip()
        column.addWidget(self.instruments, 11)
        for key, face in (("1", _WINDING), ("2", _TEST)):
            QShortcut(QKeySequence(key), self, lambda face=face: self._look_at(face))

    def show_state(self, state: Snapshot, now: float) -> None:
        """Draw what changed since the last snapshot, and the ages at `now` [s, monotonic]."""
        if state.stage is not self._stage:
            self._stage = state.stage
            self._look_at(_TEST if state.stage in (Stage.TESTING, Stage.ENDED) else _WINDING)
        if state is not self._shown:
            self._show_job(state)
        self.winding.show_state(state, now)
        self.test.show_state(state)
        self.instruments.show_state(state, now)
        self._shown = state

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 (Qt's name)
        super().closeEvent(event)
        self.closed.emit()

    def _look_at(self, face: int) -> None:
        self._faces.setCurrentIndex(face)
        self.rail.look_at(face)

    def _show_job(self, state: Snapshot) -> None:
        self.rail.show_state(state)
        if state.job is None:
            self.name.say("No job is open yet")
            return
        job = state.job
        self.name.say(job.identity.name)
        facts = [job.identity.number]
        if job.supply is not None:
            facts.append(f"{show(job.supply.voltage, 'V', 3)} {job.supply.frequency:g} Hz")
        if job.made_for is not None:
            facts.append(f"made for {show(job.made_for.voltage, 'V', 3)} {job.made_for.frequency:g} Hz")
        self.facts.say("   ".join(facts))
