"""Exciting current and watts against volts: beside each other where there is room, else one of the two."""

from __future__ import annotations

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from bench.dashboard.acceptance.curve_plot import AMPS, WATTS, CurvePlot
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.look import scale_of
from bench.dashboard.state import Snapshot

__all__ = ["ExcitingView"]

_BOTH = 640
"""Width [px in the window designed for] from which both have room."""


class ExcitingView(QWidget):
    """`watts`: which is shown where there is room for one; it follows the step at hand, and the key."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        line = QHBoxLayout(self)
        bare(line, spacing=8)
        self.amps, self.power = CurvePlot(AMPS), CurvePlot(WATTS)
        line.addWidget(self.amps, 50)
        line.addWidget(self.power, 50)
        self.watts = False
        self._step = ""
        self._arrange()

    @property
    def one_alone(self) -> bool:
        """Whether there is room for one only."""
        return self.width() < _BOTH * scale_of(self)

    def show_state(self, state: Snapshot) -> None:
        if state.step != self._step:
            self._step = state.step
            if state.step.startswith(WATTS.steps + AMPS.steps):
                self.watts = state.step.startswith(WATTS.steps)
                self._arrange()
        self.amps.show_state(state)
        self.power.show_state(state)

    def turn(self) -> None:
        """To the other of the two."""
        self.watts = not self.watts
        self._arrange()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        self.amps.setVisible(not self.one_alone or not self.watts)
        self.power.setVisible(not self.one_alone or self.watts)
