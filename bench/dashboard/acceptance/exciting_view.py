"""Exciting current against volts: measured points over the curve that the design expects and its 95 % upper limit."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.result import StepResult
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, font_of, ink_of_verdict, scale_of
from bench.dashboard.state import Snapshot
from bench.job.expectation import ExcitingCurve

__all__ = ["ExcitingView"]

_STEP = "exciting:"
_BEYOND = 1.18
"""How far past nominal volts the curve is drawn."""
_SYMBOLS = {Verdict.ACCEPTED: "o", Verdict.REJECTED: "d", Verdict.UNDECIDED: "t1", Verdict.TROUBLE: "h"}
_MILLI = 1e3
# The units stand here and not along the axes, which are too short for them in a small window.
_TITLE = "exciting current, mA, against volts on the fed winding, V"


class ExcitingView(CardFrame):
    """A plot with its words on it; volts across, milliamps up."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._curve: ExcitingCurve | None = None
        self._results: tuple[StepResult, ...] = ()
        self._drawn_scale = 0.0
        column = QVBoxLayout(self)
        bare(column, margin=10, spacing=2)
        self.title = FitLabel(19, bold=700)
        self.title.say(_TITLE)
        self.plot = pg.PlotWidget(background=Ink.CARD.colour)
        self.plot.setMouseEnabled(x=False, y=False)
        self.plot.setMenuEnabled(False)
        self.plot.hideButtons()
        self.plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.plot.setMinimumSize(1, 1)
        self.plot.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.plot.setAccessibleName("exciting current against volts")
        column.addWidget(self.title, 12)
        column.addWidget(self.plot, 88)

    def show_state(self, state: Snapshot) -> None:
        points = tuple(r for r in state.results if r.id.startswith(_STEP) and r.measured is not None)
        scale = scale_of(self)
        if (self._curve is state.curve and points == self._results and scale == self._drawn_scale) or not state.nominal:
            return
        self._curve, self._results, self._drawn_scale = state.curve, points, scale
        self._draw(state.curve, state.nominal, points, scale)

    def _draw(self, curve: ExcitingCurve | None, nominal: float, points: tuple[StepResult, ...], scale: float) -> None:
        plot = self.plot.getPlotItem()
        plot.clear()
        self.title.say(_TITLE)
        self._axes(scale)
        if curve is None:
            self.title.say("exciting current: the job does not say core and steel, so nothing is expected of it")
            return
        volts = np.linspace(0.3 * nominal, _BEYOND * nominal, 60)
        expected = np.array([curve.current_at(v) for v in volts]) * _MILLI
        limit = expected * np.exp(COVERAGE * np.array([curve.u_log_current_at(v) for v in volts]))
        top = max([float(limit[-1]), *((p.measured or 0.0) * _MILLI for p in points)]) * 1.12
        plot.setXRange(0.3 * nominal, _BEYOND * nominal, padding=0)
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
        plot = self.plot.getPlotItem()
        ink, _ = ink_of_verdict(point.verdict)
        x, y = np.array([point.at_volts]), np.array([point.measured * _MILLI])
        whisker = np.array([2 * COVERAGE * point.u * _MILLI])
        plot.addItem(pg.ErrorBarItem(x=x, y=y, height=whisker, beam=3.0, pen=pg.mkPen(ink.colour, width=2)))
        if point.upper is not None:
            # The limit that this step was judged by; with readings as found it is not the design's.
            half = 4.0
            ends = np.array([point.at_volts - half, point.at_volts + half])
            pen = pg.mkPen(Ink.BAD.colour, width=3)
            plot.addItem(pg.PlotDataItem(ends, np.full(2, point.upper * _MILLI), pen=pen))
        plot.addItem(
            pg.ScatterPlotItem(
                x, y, symbol=_SYMBOLS.get(point.verdict, "s"), size=18 * scale, brush=ink.colour,
                pen=pg.mkPen(Ink.CARD.colour, width=1),
            )
        )  # fmt: skip

    def _line(self, volts: NDArray[np.float64], amps: NDArray[np.float64], pen: Any) -> Any:
        """Antialiased: sixty points draw in no time, where ten thousand would not."""
        return pg.PlotDataItem(volts, amps, pen=pen, antialias=True)

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
