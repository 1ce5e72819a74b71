"""The face of the stage design."""

from __future__ import annotations

from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.design.acts import DesignActs
from bench.dashboard.design.limits_view import LimitsView
from bench.dashboard.design.reckoned import DesignShown
from bench.dashboard.design.reckoning import DesignReckoning
from bench.dashboard.design.section_view import SectionView
from bench.dashboard.design.tables import FIGURES, WINDINGS, figure_rows, winding_rows
from bench.dashboard.design.verdict import verdict_of
from bench.dashboard.desk import Desk
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.empty_page import EmptyPage
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.flux_scale import FluxScale
from bench.dashboard.parts.look import Ink
from bench.dashboard.parts.row_list import Cell, Column, Row, RowList
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.state import Snapshot
from bench.sitting.design_targets import asked_targets

__all__ = ["DesignFace"]

_ASKED = (Column("what is asked", 0.5, 19), Column("", 0.5, 19, right=True))


class DesignFace(Face):
    """Whether it fits, largest; what is asked at the left, the window in the middle, its limits at the right."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.empty = EmptyPage()
        self._pages = QStackedLayout(self)
        page = QWidget()
        self._pages.addWidget(page)
        self._pages.addWidget(self.empty)
        column = QVBoxLayout(page)
        bare(column, spacing=8)
        column.addWidget(self._verdict(), 19)
        line = QHBoxLayout()
        bare(line, spacing=8)
        self.asked = RowList("what is asked", _ASKED, signs=False, most_high=44)
        line.addWidget(self.asked, 27)
        middle = QVBoxLayout()
        bare(middle, spacing=8)
        self.section = SectionView()
        self.windings = RowList("windings", WINDINGS, choosing=False, signs=False, most_high=40)
        middle.addWidget(self.section, 58)
        middle.addWidget(self.windings, 42)
        line.addLayout(middle, 42)
        right = QVBoxLayout()
        bare(right, spacing=8)
        self.flux, self.limits = FluxScale(), LimitsView()
        self.figures = RowList("figures, and before", FIGURES, choosing=False, signs=False, most_high=34)
        right.addWidget(self.flux, 31)
        right.addWidget(self.limits, 32)
        right.addWidget(self.figures, 37)
        line.addLayout(right, 31)
        column.addLayout(line, 81)
        self.reckoning = DesignReckoning(desk)
        self._acts_of = DesignActs(desk, self)
        self._drawn: object = None

    def show_state(self, state: Snapshot, now: float) -> None:
        if not self.isVisible():
            return  # nobody waits for it, and the search is no small thing
        self.reckoning.follow(state)
        of = self.reckoning
        drawn = (state, of.shown, of.on_load, of.under_way, of.problem)
        if drawn == self._drawn:
            return
        self._drawn = drawn
        if state.job is None:
            self.empty.say("No job is open", "1 looks at the survey: there O opens a job file.")
            self._pages.setCurrentIndex(1)
        elif not state.job.winding:
            self.empty.say(
                "No new winding is named yet",
                "The job file names them: [[winding]] with name, role, rated_voltage and rated_current, inside first. "
                "It is read anew by itself as soon as it is saved.",
            )
            self._pages.setCurrentIndex(1)
        else:
            self._pages.setCurrentIndex(0)
            self._show_asked(state)
            self._show_verdict()
            if of.shown is not None:
                self._show_design(of.shown)
        self._acts_of.show_state(state)

    def draw_anew(self) -> None:
        """Though nothing came."""
        self._drawn = None

    def _verdict(self) -> CardFrame:
        self.verdict_card = CardFrame()
        line = QHBoxLayout(self.verdict_card)
        bare(line, margin=10, spacing=14)
        self.sign = SignWidget()
        line.addWidget(self.sign, 7)
        told = QVBoxLayout()
        bare(told, spacing=0)
        self.verdict = FitLabel(52, bold=QFont.Weight.Bold)
        self.why = FitLabel(22)
        told.addWidget(self.verdict, 52)
        told.addWidget(self.why, 48)
        line.addLayout(told, 68)
        self.whence = FitLabel(20, bold=QFont.Weight.DemiBold, ink=Ink.COPPER)
        line.addWidget(self.whence, 25)
        return self.verdict_card

    def _show_asked(self, state: Snapshot) -> None:
        assert state.job is not None
        rows = tuple(Row(one.key, (Cell(one.words), Cell(one.value, bold=True))) for one in asked_targets(state.job))
        self.asked.show_rows(rows)

    def _show_verdict(self) -> None:
        of = self.reckoning
        told = verdict_of(of)
        self.verdict_card.lay_on(told.ground)
        self.sign.show_sign(told.shape, told.ink)
        self.verdict.say(told.words)
        self.verdict.say_in(told.ink)
        self.verdict.setAccessibleName(told.words)
        self.why.say(told.why)
        self.whence.say(told.whence)

    def _show_design(self, shown: DesignShown) -> None:
        of = self.reckoning
        whose = "the search would wind it" if shown.found is not None else "the job has it"
        self.section.show_plan(shown.plan, _no_plan(shown), f"the window as {whose}, to scale; the leg below")
        self.flux.show_flux(shown.flux)
        rise = () if of.on_load is None or of.on_load.rise is None else (of.on_load.rise,)
        self.limits.show_limits((*shown.limits, *rise), _no_limits(shown))
        before = of.before
        self.windings.show_rows(winding_rows(shown, of.on_load, None if before is None else before[0]))
        self.figures.show_rows(figure_rows(shown, of.on_load, before))


def _no_plan(shown: DesignShown) -> str:
    return f"Nothing to draw yet: {shown.no_plan}" if shown.no_plan else ""


def _no_limits(shown: DesignShown) -> str:
    if shown.needs:
        return f"Not known without {', '.join(shown.needs)}."
    return "Not known before it can be laid."
