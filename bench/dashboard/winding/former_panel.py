"""The former: layer, turn in it, speed and time to go, over the section that fills, and what lies on it in order."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape, largest_font, scale_of
from bench.dashboard.parts.signs import draw_sign
from bench.dashboard.state import Snapshot
from bench.dashboard.winding.due import time_words
from bench.dashboard.winding.layers_view import LayersView
from bench.dashboard.winding.on_former import screens_on
from bench.dashboard.winding.section_view import SectionView
from bench.design.plan import PlannedScreen, PlannedWinding
from bench.winding.progress import Progress

__all__ = ["FormerPanel"]

_CENTRE = Qt.AlignmentFlag.AlignCenter
_FACTS = ("layer", "turn in layer", "speed", "time to go")
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class FormerPanel(CardFrame):
    """Bars of layers where the job is not filled in enough for a section."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=8, spacing=4)
        grid = QGridLayout()
        bare(grid, spacing=0)
        self.facts: dict[str, FitLabel] = {}
        for place, name in enumerate(_FACTS):
            title = FitLabel(18, ink=Ink.QUIET, align=_CENTRE)
            title.say(name)
            # The same widest text for all, so that they stand in one size.
            fact = FitLabel(32, bold=QFont.Weight.Bold, align=_CENTRE, like="888 of 888")
            self.facts[name] = fact
            grid.addWidget(title, 0, place)
            grid.addWidget(fact, 1, place)
            grid.setColumnStretch(place, 1)
        grid.setRowStretch(0, 4)
        grid.setRowStretch(1, 7)
        self.section, self.layers, self.order = SectionView(), LayersView(), OrderLine()
        drawn = QWidget()
        self._drawings = QStackedLayout(drawn)
        self._drawings.addWidget(self.layers)
        self._drawings.addWidget(self.section)
        column.addLayout(grid, 19)
        column.addWidget(drawn, 72)
        column.addWidget(self.order, 9)

    @property
    def planned(self) -> PlannedWinding | None:
        """The winding that is wound, as it is planned."""
        return self.section.winding

    def show_former(self, state: Snapshot) -> None:
        if state.winding is None or state.job is None:
            return
        self.section.show_former(state.job, state.winding.name, state.progress, state.windings)
        self._drawings.setCurrentWidget(self.section if self.section.drawn else self.layers)
        self.order.setVisible(self.section.drawn)
        if self.section.drawn:
            counted = frozenset(one.winding for one in state.windings if one.done is not None and not one.begun)
            self.order.show_order(self.section, state.winding.name, counted)
        else:
            self.layers.show_progress(state.winding, state.progress)
        self._show_facts(state.progress)

    def _show_facts(self, progress: Progress | None) -> None:
        if progress is None:
            for fact in self.facts.values():
                fact.say("–")
            return
        self.facts["layer"].say("–" if progress.layer is None else f"{progress.layer} of {progress.layers}")
        turn = "–" if progress.layer is None else f"{progress.turn_in_layer:.0f} of {progress.turns_of_layer}"
        self.facts["turn in layer"].say(turn)
        back = " back" if progress.speed < -0.01 else ""
        self.facts["speed"].say(f"{abs(progress.speed) * 60:.0f} rpm{back}")
        self.facts["time to go"].say(time_words(progress.seconds_to_go))


class OrderLine(QWidget):
    """Windings and screens from the leg outwards, each with a sign: on, wound now, to come, not
    finished."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._entries: tuple[tuple[str, Shape, Ink, bool], ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("windings from the leg outwards")

    def show_order(self, section: SectionView, winding: str, counted: frozenset[str] = frozenset()) -> None:
        """counted: windings that are finished by the record; what lies under the present one, and is not, is on all the
        same, and nobody counted it."""
        if section.plan is None:
            return
        screens = screens_on(section.plan, section.turns)
        entries = []
        last = ""
        for one in section.plan.items:
            if isinstance(one, PlannedScreen):
                name, on, known = one.screen.name, screens[one.screen.name], last in counted
            else:
                name, on, known = one.name, section.turns.get(one.name, 0) > 0, one.name in counted
                last = name
            shape, ink = _look_of(now=name == winding, on=on, known=known)
            entries.append((name, shape, ink, name == winding))
        if tuple(entries) != self._entries:
            self._entries = tuple(entries)
            words = {
                Shape.DOT: "now",
                Shape.TICK: "on",
                Shape.RING: "to come",
                Shape.QUERY: "not finished by the record",
            }
            self.setAccessibleDescription(", ".join(f"{name}: {words[shape]}" for name, shape, _, _ in entries))
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        if not self._entries:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale, each = scale_of(self), self.width() / len(self._entries)
        side = min(16 * scale, self.height() * 0.8)
        room = int(each - side - 10 * scale)
        # one size for all, that of the name which needs the smallest
        size = min(
            largest_font(name, room, self.height(), round(18 * scale), 8, QFont.Weight.Bold).pixelSize()
            for name, *_ in self._entries
        )
        for place, (name, shape, ink, now) in enumerate(self._entries):
            left = place * each
            draw_sign(painter, QRectF(left, self.height() / 2 - side / 2, side, side), shape, ink)
            weight = QFont.Weight.Bold if now else QFont.Weight.Normal
            painter.setFont(largest_font(name, room, self.height(), size, 8, weight))
            painter.setPen(Ink.TEXT.colour)
            painter.drawText(QRectF(left + side + 5 * scale, 0, room, self.height()), _LEFT, name)
        painter.end()


def _look_of(*, now: bool, on: bool, known: bool) -> tuple[Shape, Ink]:
    """A tick only for what was counted to its end."""
    if now:
        return Shape.DOT, Ink.COPPER
    if not on:
        return Shape.RING, Ink.QUIET
    return (Shape.TICK, Ink.GOOD) if known else (Shape.QUERY, Ink.DOUBT)
