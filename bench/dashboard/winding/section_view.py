"""The window section to scale, filling turn by turn: what is on full, the present winding dark, the rest in outline."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QBrush, QHideEvent, QPainter, QPaintEvent, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, scale_of
from bench.dashboard.parts.theme import worn
from bench.dashboard.winding.on_former import Area, as_wound, filled, place_of_wire, screens_on, turns_on, whole_turns
from bench.dashboard.winding.section_paint import Look, Places, paint_window
from bench.design.plan import PlannedScreen, PlannedWinding, WindingPlan
from bench.job.model import Job
from bench.winding.progress import Progress
from bench.winding.state import WindingState

__all__ = ["SectionView"]

_SHOWN_A_SECOND = 10.0
_FLAG = 30.0
"""Height [px] of the mark over the wire, which is less wide."""


class SectionView(QWidget):
    """Draws nothing while the job has no plan; `drawn` tells.

    The window is painted once in each look that is needed; a frame only puts pieces of these together, so that it costs
    the same with ten turns and with ten thousand.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.plan: WindingPlan | None = None
        self.turns: dict[str, int] = {}
        self._of: tuple[Job, str, tuple[float, ...]] | None = None
        self._winding = ""
        self._progress: Progress | None = None
        self._shown: tuple[object, ...] = ()
        self._still: tuple[object, ...] = ()
        self._wire_at = 0.0
        self._areas: dict[str, tuple[WindingPlan, int, tuple[Area, ...]]] = {}
        self._painted: dict[Look, QPixmap] = {}
        self._painted_for: tuple[object, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("window section of the bobbin")

    @property
    def drawn(self) -> bool:
        return self.plan is not None

    @property
    def winding(self) -> PlannedWinding | None:
        """The one that is wound."""
        windings = () if self.plan is None else self.plan.windings
        return next((one for one in windings if one.name == self._winding), None)

    def show_former(self, job: Job, winding: str, progress: Progress | None, states: tuple[WindingState, ...]) -> None:
        """What is on the former of that job while `winding` is wound; empty for none."""
        ends = () if progress is None else progress.ends
        if self._of is None or self._of[0] is not job or self._of[1:] != (winding, ends):
            self._of = (job, winding, ends)
            self.plan = as_wound(job, winding, ends)
        if self.plan is None:
            return
        turns = turns_on(self.plan, winding, progress, {one.winding: one for one in states})
        # To a tenth of a turn, and at speed ten times a second: what moves the mark by less is not seen.
        at = None if progress is None else (*_seen(progress), progress.low == progress.high)
        others = tuple((name, on) for name, on in turns.items() if name != winding or at is None)
        shown = (self.plan, others, winding, at)
        if shown != self._shown:
            # Kept together: what is painted for whatever reason until then is painted as it was.
            self._shown, self.turns, self._winding, self._progress = shown, turns, winding, progress
            self.setAccessibleDescription(self._words())
            self._update_what_changed(others)

    def _update_what_changed(self, others: tuple[object, ...]) -> None:
        """Within a layer that is only what lies between the two places of the wire: ten times a second all of it would
        be the dearest thing in the window."""
        places, one, progress = self.places(), self.winding, self._progress
        if self.plan is None or places is None or one is None or progress is None or not progress.certain:
            self._still = ()
            self.update()
            return
        layer, along = place_of_wire(one, progress.turns)
        *whole, last = (*self.areas()[one.name],) or (None,)
        band = (
            None
            if last is None
            else (last.inner, last.outer, last.left == 0.0, last.right == self.plan.between_flanges)
        )
        screens = tuple(screens_on(self.plan, self.turns).items())
        still = (
            self.plan,
            others,
            one.name,
            layer.first_turn,
            tuple(whole),
            band,
            screens,
            self.size(),
            progress.speed > -0.01,
        )
        at, self._wire_at = self._wire_at, places.x(along)
        if still != self._still:
            self._still = still
            self.update()
            return
        beside = _FLAG * places.by + 2.0 * places.wire(one)
        left, right = sorted((at, self._wire_at))
        self.update(QRectF(left - beside, 0.0, right - left + 2.0 * beside, self.height()).toAlignedRect())

    def areas(self) -> dict[str, tuple[Area, ...]]:
        """What is drawn full of each winding."""
        if self.plan is None:
            return {}
        for one in self.plan.windings:
            turns, known = self.turns.get(one.name, 0), self._areas.get(one.name)
            if known is None or known[0] is not self.plan or known[1] != turns:
                self._areas[one.name] = (self.plan, turns, filled(self.plan, one, turns))
        return {one.name: self._areas[one.name][2] for one in self.plan.windings}

    def places(self) -> Places | None:
        """Where in the widget all is drawn."""
        return None if self.plan is None else Places.in_room(self.plan, QRectF(self.rect()), scale_of(self))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        places = self.places()
        if self.plan is None or places is None or self.width() < 40 or self.height() < 30:
            return
        self._forget_looks_of_another_size()
        painter = QPainter(self)
        try:
            self._paint_former(painter, self.plan, places)
            self._paint_doubt(painter, places)
            self._paint_mark(painter, places)
        finally:
            painter.end()

    def _paint_former(self, painter: QPainter, plan: WindingPlan, places: Places) -> None:
        """All in outline, and over it the parts that are on."""
        painter.drawPixmap(0, 0, self._in_look(Look.COMING, places))
        areas = self.areas()
        screens = screens_on(plan, self.turns)
        under = 0.0
        for one in plan.items:
            if isinstance(one, PlannedScreen):
                if screens[one.screen.name]:
                    self._put(painter, places, Area(0.0, plan.between_flanges, under, one.outer), Look.ON)
                under = one.outer
                continue
            if self.turns.get(one.name, 0) > 0 and under > 0:
                # what is between it and the one below
                self._put(painter, places, Area(0.0, plan.between_flanges, under, one.inner), Look.ON)
            look = Look.NOW if one.name == self._winding else Look.ON
            for area in areas[one.name]:
                self._put(painter, places, area, look)
            under = one.outer

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 (Qt's name)
        """Its pictures go: on a large screen each takes 30 MB, and a window that is gone may keep them for long."""
        super().hideEvent(event)
        self._painted.clear()

    def _forget_looks_of_another_size(self) -> None:
        ratio, by = self.devicePixelRatioF(), scale_of(self)
        wanted = (self.plan, self.size(), ratio, by, worn())
        if wanted == self._painted_for:
            return
        self._painted.clear()
        self._painted_for = wanted

    def _in_look(self, look: Look, places: Places) -> QPixmap:
        """All of the window in it, painted when it is asked for the first time: few need all three."""
        if look not in self._painted:
            ratio = self.devicePixelRatioF()
            pixmap = QPixmap(self.size() * ratio)
            pixmap.setDevicePixelRatio(ratio)
            pixmap.fill(Qt.GlobalColor.transparent)
            painter = QPainter(pixmap)
            try:
                paint_window(painter, places, look)
            finally:
                # a painter that outlives its pixmap takes the program with it
                painter.end()
            self._painted[look] = pixmap
        return self._painted[look]

    def _put(self, painter: QPainter, places: Places, area: Area, look: Look) -> None:
        """That part of the window in that look, cut at whole pixels so that nothing is blurred."""
        ratio, rect = self.devicePixelRatioF(), places.rect(area)
        left, top = round(rect.left() * ratio), round(rect.top() * ratio)
        wide, high = round(rect.right() * ratio) - left, round(rect.bottom() * ratio) - top
        if wide < 1 or high < 1:
            return
        target = QRectF(left / ratio, top / ratio, wide / ratio, high / ratio)
        painter.drawPixmap(target, self._in_look(look, places), QRectF(QRect(left, top, wide, high)))

    def _paint_doubt(self, painter: QPainter, places: Places) -> None:
        """Turns that may be on or not."""
        one, progress = self.winding, self._progress
        if one is None or self.plan is None or progress is None or progress.certain:
            return
        of_it = sum(layer.turns for layer in one.layers)
        high = of_it if math.isinf(progress.high) else min(of_it, math.ceil(progress.high))
        painter.setPen(Qt.PenStyle.NoPen)
        for area in filled(self.plan, one, high, whole_turns(progress.low)):
            painter.setBrush(Ink.DOUBT_PALE.colour)
            painter.drawRect(places.rect(area))
            painter.setBrush(QBrush(Ink.DOUBT.colour, Qt.BrushStyle.DiagCrossPattern))
            painter.drawRect(places.rect(area))

    def _paint_mark(self, painter: QPainter, places: Places) -> None:
        """A flag where the wire runs on, which points the way that it runs."""
        one, progress = self.winding, self._progress
        if one is None or progress is None or not math.isfinite(progress.turns):
            return
        by = scale_of(self)
        layer, along = place_of_wire(one, progress.turns)
        x, y = places.x(along), places.y(layer.outer)
        top = max(2.0, y - _FLAG * by)
        way = layer.direction if progress.speed > -0.01 else -layer.direction
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        flag = QPolygonF([QPointF(x, top), QPointF(x + way * 26 * by, top + 9 * by), QPointF(x, top + 18 * by)])
        for ink, wide in ((Ink.CARD, 7 * by), (Ink.TEXT, 3 * by)):
            painter.setPen(QPen(ink.colour, wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
            painter.drawLine(QPointF(x, top), QPointF(x, places.y(layer.inner)))
            painter.setPen(QPen(ink.colour, max(1.0, wide - 3 * by)))
            painter.setBrush(ink.colour)
            painter.drawPolygon(flag)
        # and a notch in each flange at the height of the layer
        middle = places.y((layer.inner + layer.outer) / 2)
        painter.setPen(Qt.PenStyle.NoPen)
        for edge, inwards in ((places.window.left() - places.core, 1), (places.window.right() + places.core, -1)):
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(edge, middle - 8 * by),
                        QPointF(edge + inwards * 15 * by, middle),
                        QPointF(edge, middle + 8 * by),
                    ]
                )
            )

    def _words(self) -> str:
        """The same for somebody who does not see it."""
        if self.plan is None:
            return ""
        parts = [f"{one.name}: {self.turns[one.name]} of {sum(layer.turns for layer in one.layers)} turns on"
                 for one in self.plan.windings]  # fmt: skip
        return "from the leg outwards: " + "; ".join(parts)


def _seen(progress: Progress) -> tuple[int, ...]:
    """Count and bounds in steps that can be seen; where there is none, the sign of the bound."""
    step = max(0.1, abs(progress.speed) / _SHOWN_A_SECOND)
    ends = (progress.turns, progress.low, progress.high)
    return tuple(round(end / step) if math.isfinite(end) else (1 << 40 if end > 0 else -1) for end in ends)
