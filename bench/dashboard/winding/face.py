"""The winding as it is seen from the machine: the count first, then how far, then what comes next."""

from __future__ import annotations

import math

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.desk import Desk
from bench.dashboard.instruments import Health
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape, ink_of_standing, shape_of_standing, shape_of_weight
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.state import Snapshot
from bench.dashboard.winding.acts import WindingActs
from bench.dashboard.winding.layers_view import LayersView
from bench.dashboard.winding.start_page import StartPage
from bench.job.winding import Winding
from bench.winding.progress import Progress, Standing

__all__ = ["WindingFace"]

_CENTRE = Qt.AlignmentFlag.AlignCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_FACTS = ("layer", "turn in layer", "speed")


class WindingFace(Face):
    """While it is wound, left the figures, right the layers and what happened on the way; before it, what to wind."""

    def __init__(self, desk: Desk | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Snapshot | None = None
        self._health: Health | None = None
        self.start = StartPage()
        figures = QWidget()
        self._pages = QStackedLayout(self)
        self._pages.addWidget(figures)
        self._pages.addWidget(self.start)
        self._acts_of = None if desk is None else WindingActs(desk, self)
        line = QHBoxLayout(figures)
        bare(line, spacing=10)
        line.addWidget(self._figures(), 62)
        right = QVBoxLayout()
        bare(right, spacing=10)
        right.addWidget(self._layers(), 62)
        right.addWidget(self._happened(), 38)
        line.addLayout(right, 38)

    def show_state(self, state: Snapshot, now: float) -> None:
        """Draw what changed; `now` [s, monotonic] tells whether the count is still fresh."""
        health = state.counter.health(now)
        if state is self._shown and health is self._health:
            return
        if self._acts_of is not None:
            self.start.show_state(state)
            self._pages.setCurrentIndex(1 if self._acts_of.show_state(state) else 0)
        shown, self._shown = self._shown, state
        renewed = health is not self._health
        self._health = health
        if state.winding is None:
            self.winding.say("Nothing is being wound yet.")
            return
        if shown is None or shown.winding is not state.winding:
            self._show_winding(state.winding)
        if renewed or shown is None or shown.progress is not state.progress or shown.winding is not state.winding:
            self.layers.show_progress(state.winding, state.progress)
            if state.progress is not None:
                self._show_progress(state.progress)
                self._show_freshness(health)
        if shown is None or shown.happenings is not state.happenings:
            self._show_happenings(state)

    def renew(self) -> None:
        """Draw anew, though nothing came."""
        self._shown = None

    def _figures(self) -> CardFrame:
        self.panel = CardFrame()
        column = QVBoxLayout(self.panel)
        bare(column, margin=16, spacing=4)
        self.winding = FitLabel(34, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.wire = FitLabel(20, ink=Ink.QUIET)
        self.count = FitLabel(320, bold=QFont.Weight.Bold, align=_CENTRE)
        self.sign = SignWidget()
        self.standing = FitLabel(48, bold=QFont.Weight.Bold)
        self.interval = FitLabel(34, ink=Ink.DOUBT, align=_RIGHT)
        self.target = FitLabel(52)
        self.to_go = FitLabel(64, bold=QFont.Weight.Bold, align=_RIGHT)
        self.next_event = FitLabel(44, bold=QFont.Weight.DemiBold)
        column.addWidget(self.winding, 8)
        column.addWidget(self.wire, 6)
        column.addWidget(self.count, 42)
        said = QHBoxLayout()
        bare(said, spacing=14)
        said.addWidget(self.sign, 8)
        said.addWidget(self.standing, 46)
        said.addWidget(self.interval, 46)
        column.addLayout(said, 12)
        far = QHBoxLayout()
        bare(far, spacing=14)
        far.addWidget(self.target, 46)
        far.addWidget(self.to_go, 54)
        column.addLayout(far, 17)
        self.next_title = FitLabel(18, ink=Ink.QUIET)
        self.next_title.say("next")
        column.addWidget(self.next_title, 4)
        column.addWidget(self.next_event, 13)
        return self.panel

    def _layers(self) -> CardFrame:
        panel = CardFrame()
        column = QVBoxLayout(panel)
        bare(column, margin=14, spacing=8)
        grid = QGridLayout()
        bare(grid, spacing=2)
        self.facts: dict[str, FitLabel] = {}
        for place, name in enumerate(_FACTS):
            title = FitLabel(18, ink=Ink.QUIET, align=_CENTRE)
            title.say(name)
            # The same widest text for all, so that they stand in one size.
            fact = FitLabel(34, bold=QFont.Weight.Bold, align=_CENTRE, like="888 of 888")
            self.facts[name] = fact
            grid.addWidget(title, 0, place)
            grid.addWidget(fact, 1, place)
            grid.setColumnStretch(place, 1)
        grid.setRowStretch(0, 4)
        grid.setRowStretch(1, 9)
        self.layers = LayersView()
        column.addLayout(grid, 20)
        column.addWidget(self.layers, 80)
        return panel

    def _happened(self) -> CardFrame:
        panel = CardFrame()
        column = QVBoxLayout(panel)
        bare(column, margin=14, spacing=6)
        title = FitLabel(18, ink=Ink.QUIET)
        title.say("on the way")
        column.addWidget(title, 12)
        self.happened: list[tuple[SignWidget, FitLabel]] = []
        for _ in range(3):
            line = QHBoxLayout()
            bare(line, spacing=10)
            sign, words = SignWidget(), FitLabel(19)
            line.addWidget(sign, 7)
            line.addWidget(words, 93)
            column.addLayout(line, 29)
            self.happened.append((sign, words))
        self.happened[0][1].say("Nothing but turns so far.")
        return panel

    def _show_winding(self, winding: Winding) -> None:
        self.winding.say(winding.name)
        wire = "" if winding.wire is None else f"wire {winding.wire.name}"
        if winding.strands > 1:
            wire += f", {winding.strands} in hand"
        leads = [f"{name} {winding.lead(name)}" for name in winding.lead_names if str(winding.lead(name))]
        self.wire.say("     ".join(part for part in (wire, *leads, str(winding.sense)) if part))

    def _show_progress(self, progress: Progress) -> None:
        ink, ground = ink_of_standing(progress.standing)
        self.panel.lay_on(ground)
        figures = "8" * len(str(progress.target))
        self.count.say(f"{progress.turns:.1f}", like=f"{figures}.8")
        self.count.say_in(ink)
        self.count.setAccessibleName(f"count {progress.turns:.1f} turns")
        self.sign.show_sign(shape_of_standing(progress.standing), ink)
        self.standing.say(str(progress.standing))
        self.standing.say_in(ink)
        unbounded = math.isinf(progress.low) or math.isinf(progress.high)
        interval = "count the turns by hand" if unbounded else f"{progress.low:.1f} to {progress.high:.1f}"
        self.interval.say("" if progress.certain else interval)
        self.target.say(f"of {progress.target} turns")
        past = progress.standing is Standing.PAST
        to_go = f"{abs(progress.to_go):.1f} {'too many' if past else 'to go'}"
        if unbounded:
            to_go = "not known"
        elif not progress.certain:
            to_go = f"{max(0.0, progress.target - progress.high):.1f} to {progress.target - progress.low:.1f} to go"
        self.to_go.say(to_go, like=f"{figures}.8 to go")
        self.next_event.say(progress.next_event)
        self.facts["layer"].say("–" if progress.layer is None else f"{progress.layer} of {progress.layers}")
        turn = "–" if progress.layer is None else f"{progress.turn_in_layer:.0f} of {progress.turns_of_layer}"
        self.facts["turn in layer"].say(turn)
        back = " back" if progress.speed < -0.01 else ""
        self.facts["speed"].say(f"{abs(progress.speed) * 60:.0f} rpm{back}")

    def _show_freshness(self, health: Health) -> None:
        """A count whose counter is away is the last one known, and must not look like the one that is."""
        if health not in (Health.LOST, Health.SILENT):
            return
        self.panel.lay_on(Ink.BAD_PALE)
        self.count.say_in(Ink.QUIET)
        self.sign.show_sign(Shape.CROSS, Ink.BAD)
        self.standing.say("no line from the counter")
        self.standing.say_in(Ink.BAD)

    def _show_happenings(self, state: Snapshot) -> None:
        for (sign, words), happening in zip(self.happened, state.happenings, strict=False):
            shape, ink = shape_of_weight(happening.weight)
            sign.show_sign(shape, ink)
            words.say(happening.words)
