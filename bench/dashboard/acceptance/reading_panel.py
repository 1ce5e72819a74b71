"""What is read now: the value as it settles, what was taken, a field for what is typed, or a wait that counts down."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from bench.acceptance.report import doubt_text
from bench.acceptance.requests import Wait
from bench.dashboard.acceptance.live import Taken, band_of, doubt_of_reading
from bench.dashboard.acceptance.trace_view import TraceView
from bench.dashboard.acceptance.value_entry import ValueEntry
from bench.dashboard.instruments import reading_text
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.state import Snapshot

__all__ = ["ReadingPanel"]

_SHOWN_S = 2.5
"""So long [s] a reading that was taken stands large, when the next step has begun already."""
_CENTRE = Qt.AlignmentFlag.AlignCenter


class ReadingPanel(QWidget):
    """`high`: the height that it asks for [px in the window designed for], 0 while there is nothing to show."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        column = QVBoxLayout(self)
        bare(column, spacing=2)
        self.entry = ValueEntry()
        self.value = FitLabel(48, bold=QFont.Weight.Bold)
        self.doubt = FitLabel(20, ink=Ink.QUIET)
        line = QHBoxLayout()
        bare(line, spacing=6)
        self.sign, self.stands = SignWidget(), FitLabel(18)
        line.addWidget(self.sign, 10)
        line.addWidget(self.stands, 90)
        self.trace = TraceView()
        column.addWidget(self.entry, 100)
        column.addWidget(self.value, 46)
        column.addWidget(self.doubt, 20)
        column.addLayout(line, 30)
        column.addWidget(self.trace, 56)
        self.high = 0

    def show_state(self, state: Snapshot, now: float) -> None:
        """now [s, monotonic]: what stands for a moment goes by itself, and a wait counts down."""
        self.entry.show_asked(state.awaiting)
        awaiting = state.awaiting
        if self.entry.asks:
            self._show(entry=True, high=112)
        elif awaiting is not None and isinstance(awaiting.request, Wait):
            left = max(0.0, awaiting.request.seconds - (now - state.awaiting_since))
            self._told(_clock(left), f"left of {_clock(awaiting.request.seconds)}", "", Shape.NONE)
        elif state.settling:
            self._settling(state)
        elif state.reading is not None and state.taken is not None:
            self._taken(state.taken, state.glances != ())
        elif state.taken is not None and now - state.taken.at < _SHOWN_S:
            self._taken(state.taken, False)
        else:
            self._show(high=0)

    def _settling(self, state: Snapshot) -> None:
        band = band_of(state.glances)
        newest = state.glances[-1] if state.glances else None
        doubt = ""
        if band is not None and newest is not None and newest.u:
            doubt = doubt_text(band[1], newest.unit).replace("ohm", "Ω")
        shown = state.settling.removesuffix(state.stands).strip().replace("ohm", "Ω")
        self._told(shown, doubt, state.stands, Shape.RING, Ink.QUIET, trace=True)
        self.trace.show_glances(state.glances)

    def _taken(self, taken: Taken, trace: bool) -> None:
        name = taken.step.replace(":", " ").replace("_", " ")
        self._told(
            reading_text(taken.reading), doubt_of_reading(taken.reading), f"taken: {name}", Shape.TICK, Ink.GOOD,
            trace=trace,
        )  # fmt: skip

    def _told(
        self, value: str, doubt: str, stands: str, shape: Shape, ink: Ink = Ink.QUIET, *, trace: bool = False
    ) -> None:
        self.value.say(value)
        self.doubt.say(doubt)
        self.stands.say(stands)
        self.sign.show_sign(shape, ink)
        self._show(value=True, trace=trace, high=170 if trace else 104)

    def _show(self, *, entry: bool = False, value: bool = False, trace: bool = False, high: int) -> None:
        self.entry.setVisible(entry)
        for one in (self.value, self.doubt, self.sign, self.stands):
            one.setVisible(value)
        self.trace.setVisible(trace)
        self.high = high


def _clock(seconds: float) -> str:
    """`29:07`, and hours where there are."""
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60}:{rest % 60:02d}"
