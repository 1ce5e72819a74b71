"""The count in figures that are read from two metres, how it stands, and how far it is to the target."""

from __future__ import annotations

import math

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape, ink_of_standing, shape_of_standing
from bench.dashboard.parts.signs import SignWidget
from bench.job.winding import Winding
from bench.winding.progress import Progress, Standing

__all__ = ["Figures"]

_CENTRE = Qt.AlignmentFlag.AlignCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class Figures(CardFrame):
    """Its ground changes with how the count stands."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=12, spacing=2)
        self.winding = FitLabel(34, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.wire = FitLabel(20, ink=Ink.QUIET)
        self.count = FitLabel(320, bold=QFont.Weight.Bold, align=_CENTRE)
        self.sign = SignWidget()
        self.standing = FitLabel(44, bold=QFont.Weight.Bold)
        self.interval = FitLabel(34, ink=Ink.DOUBT, align=_RIGHT)
        self.target = FitLabel(46)
        self.to_go = FitLabel(64, bold=QFont.Weight.Bold, align=_RIGHT)
        names = QHBoxLayout()
        bare(names, spacing=14)
        names.addWidget(self.winding, 34)
        names.addWidget(self.wire, 66)
        column.addLayout(names, 11)
        column.addWidget(self.count, 56)
        said = QHBoxLayout()
        bare(said, spacing=14)
        said.addWidget(self.sign, 8)
        said.addWidget(self.standing, 46)
        said.addWidget(self.interval, 46)
        column.addLayout(said, 14)
        far = QHBoxLayout()
        bare(far, spacing=14)
        far.addWidget(self.target, 44)
        far.addWidget(self.to_go, 56)
        column.addLayout(far, 19)

    def show_nothing(self) -> None:
        self.winding.say("Nothing is being wound yet.")

    def show_winding(self, winding: Winding) -> None:
        self.winding.say(winding.name)
        wire = "" if winding.wire is None else f"wire {winding.wire.name}"
        if winding.strands > 1:
            wire += f", {winding.strands} in hand"
        leads = [f"{name} {winding.lead(name)}" for name in winding.lead_names if str(winding.lead(name))]
        self.wire.say("     ".join(part for part in (wire, *leads, str(winding.sense)) if part))

    def show_progress(self, progress: Progress | None, *, away: bool, by_hand: bool) -> None:
        """away: a count whose counter says nothing is the last one known, and must not look like the one that is."""
        if progress is None:
            for label in (self.count, self.standing, self.interval, self.target, self.to_go):
                label.say("")
            self.sign.show_sign(Shape.NONE, Ink.QUIET)
            self.lay_on(Ink.CARD)
            return
        ink, ground = ink_of_standing(progress.standing)
        shape, standing = shape_of_standing(progress.standing), str(progress.standing)
        if by_hand and progress.standing in (Standing.WINDING, Standing.NEARLY):
            ink, ground, standing = Ink.TEXT, Ink.CARD, "as typed"
        if away:
            ink, ground, shape, standing = Ink.BAD, Ink.BAD_PALE, Shape.CROSS, "no line from the counter"
        self.lay_on(ground)
        figures = "8" * len(str(progress.target))
        self.count.say(f"{progress.turns:.1f}", like=f"{figures}.8")
        self.count.say_in(Ink.QUIET if away else ink)
        self.count.setAccessibleName(f"count {progress.turns:.1f} turns")
        self.sign.show_sign(shape, ink)
        self.standing.say(standing)
        self.standing.say_in(ink)
        unbounded = math.isinf(progress.low) or math.isinf(progress.high)
        interval = "count the turns by hand" if unbounded else f"{progress.low:.1f} to {progress.high:.1f}"
        self.interval.say("" if progress.certain else interval)
        self.target.say(f"of {progress.target} turns")
        self.to_go.say(_to_go(progress, unbounded=unbounded), like=f"{figures}.8 to go")


def _to_go(progress: Progress, *, unbounded: bool) -> str:
    if unbounded:
        return "not known"
    if progress.standing is Standing.PAST:
        return f"{abs(progress.to_go):.1f} too many"
    if not progress.certain:
        return f"{max(0.0, progress.target - progress.high):.1f} to {progress.target - progress.low:.1f} to go"
    return f"{abs(progress.to_go):.1f} {'over' if progress.to_go < -0.05 else 'to go'}"
