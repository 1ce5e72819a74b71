"""A quantity against the volts on the fed winding: measured points over what the steel is expected to take."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.result import StepResult
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, font_of, ink_of_verdict, scale_of
from bench.dashboard.state import Snapshot
from bench.job.expectation import ExcitingCurve

__all__ = ["AMPS", "WATTS", "CurvePlot", "Shown"]

_BEYOND = 1.18
"""How far past nominal volts the curve is drawn."""
_SYMBOLS = {Verdict.ACCEPTED: "o", Verdict.REJECTED: "d", Verdict.UNDECIDED: "t1", Verdict.TROUBLE: "h"}


@dataclass(frozen=True)
class Shown:
    """steps: how the ids of its steps begin;  factor: from SI to the unit of the axis;  least: share of the nominal
    volts at which the plot begins;  at, u_log: by a curve and volts, SI."""

    title: str
    name: str
    steps: tuple[str, ...]
    factor: float
    least: float
    at: Callable[[ExcitingCurve, float], float]
    u_log: Callable[[ExcitingCurve, float], float]


# The units stand here and not along the axes, which are too short for them in a small window.
AMPS = Shown(
    "exciting current, mA, against volts on the fed winding, V", "exciting current", ("exciting:",), 1e3, 0.3,
    ExcitingCurve.current_at, ExcitingCurve.u_log_current_at,
)  # fmt: skip
WATTS = Shown(
    "watts in the core, W, against volts on the fed winding, V", "watts in the core", ("core_watts", "low_watts"), 1.0,
    0.02, ExcitingCurve.watts_at, ExcitingCurve.u_log_watts_at,
)  # fmt: skip


class CurvePlot(CardFrame):
    """Volts across, the quantity up; its words stand on it.

    The plot is made, and drawn, where it is seen: it is the dearest part of the window.
    """

    def __init__(self, shown: Shown, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kind = shown
        self._curve: ExcitingCurve | None = None
        self._results: tuple[StepResult, ...] = ()
        self._drawn_scale = 0.0
        self._unseen: Snapshot | None = None
        self._made: pg.PlotWidget | None = None
        self._column = column = QVBoxLayout(self)
        bare(column, margin=10, spacing=2)
        self.title = FitLabel(19, bold=700)
        self.title.say(shown.title)
        column.addWidget(self.title, 12)
        column.addStretch(88)

    @property
    def plot(self) -> pg.PlotWidget:
        """Made when it is asked for."""
        if self._made is None:
            plot = self._made = pg.PlotWidget(background=Ink.CARD.colour)
            plot.setMouseEnabled(x=False, y=False)
            plot.setMenuEnabled(False)
            plot.hideButtons()
            plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            plot.setMinimumSize(1, 1)
            plot.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
            plot.setAccessibleName(f"{self._kind.name} against volts")
            self._column.takeAt(1)  # what kept its place
            self._column.addWidget(plot, 88)
        return self._made

    def theme_changed(self) -> None:
        if self._made is not None:
            self._made.setBackground(Ink.CARD.colour)
        self._drawn_scale = 0.0

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 (Qt's name)
        super().showEvent(event)
        self.plot.show()
        if self._unseen is not None:
            self.show_state(self._unseen)

    def show_state(self, state: Snapshot) -> None:
        """Draw what changed; where it is not seen, once it is."""
        if not self.isVisible():
            self._unseen = state
            return
        self._unseen = None
        points = tuple(r for r in state.results if r.id.startswith(self._kind.steps) and r.measured is not None)
        scale = scale_of(self)
        if (self._curve is state.curve and points == self._results and scale == self._drawn_scale) or not state.nominal:
            return
        self._curve, self._results, self._drawn_scale = state.curve, points, scale
        self._draw(state.curve, state.nominal, points, scale)

    def _draw(self, curve: ExcitingCurve | None, nominal: float, points: tuple[StepResult, ...], scale: float) -> None:
        plot, kind = self.plot.getPlotItem(), self._kind
        plot.clear()
        self.title.say(kind.title)
        self._axes(scale)
        if curve is None:
            self.title.say(f"{kind.name}: the job does not say core and steel, so nothing is expected of it")
            return
        volts = np.linspace(kind.least * nominal, _BEYOND * nominal, 60)
        expected = np.array([kind.at(curve, v) for v in volts]) * kind.factor
        limit = expected * np.exp(COVERAGE * np.array([kind.u_log(curve, v) for v in volts]))
        top = max([float(limit[-1]), *((p.measured or 0.0) * kind.factor for p in points)]) * 1.12
        plot.setXRange(kind.least * nominal, _BEYOND * nominal, padding=0)
        plot.setYRange(0, top, padding=0)
        band = pg.FillBetweenItem(
            pg.PlotDataItem(volts, np.zeros_like(volts)), pg.PlotDataItem(volts, limit), brush=Ink.EMPTY.colour
        )
        plot.addItem(band)
        plot.addItem(self._line(volts, limit, pg.mkPen(Ink.BAD.colour, width=2, style=Qt.PenStyle.DashLine)))
        plot.addItem(self._line(volts, expected, pg.mkPen(Ink.TEXT.colour, width=2)))
        at = 0.62 * nominal
        self._say("upper limit, 95 %", at, float(np.interp(at, volts, limit)), Ink.BAD, scale, above=True)
        # Between the points at three quarters and at all of the volts, where the curve is high enough to stand over it.
        at = 0.87 * nominal
        self._say("designed", at, float(np.interp(at, volts, expected)), Ink.TEXT, scale, above=False)
        for point in points:
            self._point(point, scale)

    def _point(self, point: StepResult, scale: float) -> None:
        if point.at_volts is None or point.measured is None:
            return
        plot, factor = self.plot.getPlotItem(), self._kind.factor
        ink, _ = ink_of_verdict(point.verdict)
        x, y = np.array([point.at_volts]), np.array([point.measured * factor])
        whisker = np.array([2 * COVERAGE * point.u * factor])
        plot.addItem(pg.ErrorBarItem(x=x, y=y, height=whisker, beam=3.0, pen=pg.mkPen(ink.colour, width=2)))
        if point.upper is not None:
            # The limit that this step was judged by; with readings as found it is not the design's.
            half = 4.0
            ends = np.array([point.at_volts - half, point.at_volts + half])
            pen = pg.mkPen(Ink.BAD.colour, width=3)
            plot.addItem(pg.PlotDataItem(ends, np.full(2, point.upper * factor), pen=pen))
        plot.addItem(
            pg.ScatterPlotItem(
                x, y, symbol=_SYMBOLS.get(point.verdict, "s"), size=14 * scale, brush=ink.colour,
                pen=pg.mkPen(Ink.CARD.colour, width=1),
            )
        )  # fmt: skip

    def _line(self, volts: NDArray[np.float64], values: NDArray[np.float64], pen: Any) -> Any:
        """Antialiased: sixty points draw in no time, where ten thousand would not."""
        return pg.PlotDataItem(volts, values, pen=pen, antialias=True)

    def _axes(self, scale: float) -> None:
        font = font_of(round(14 * scale))
        for side in ("bottom", "left"):
            axis = self.plot.getPlotItem().getAxis(side)
            axis.setTickFont(font)
            axis.setPen(Ink.QUIET.colour)
            axis.setTextPen(Ink.TEXT.colour)
            axis.enableAutoSIPrefix(False)

    def _say(self, text: str, x: float, y: float, ink: Ink, scale: float, *, above: bool) -> None:
        item = pg.TextItem(text, color=ink.colour, anchor=(0.5, 1.25) if above else (0.5, -0.15))
        item.setFont(font_of(round(14 * scale)))
        item.setPos(x, y)
        self.plot.getPlotItem().addItem(item)
