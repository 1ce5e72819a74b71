"""The readings on the unit while it is whole: which is due, how it is taken, and what can hurt meanwhile."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.acceptance.cautions import Hazard
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.row_list import Cell, Column, Row, RowList
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.survey.reckoned import SurveyShown
from bench.sitting.found_readings import DueReading

__all__ = ["ReadingPage"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_COLUMNS = (Column("in the order of least risk", 0.62, 21), Column("as it reads", 0.38, 21, right=True))


class ReadingPage(QWidget):
    """The first that is not read yet is chosen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: SurveyShown | None = None
        line = QHBoxLayout(self)
        bare(line, spacing=10)
        self.list = RowList("readings as found", _COLUMNS, most_high=46)
        self.list.chosen.connect(self._tell)
        line.addWidget(self.list, 54)
        right = QVBoxLayout()
        bare(right, spacing=10)
        card = CardFrame()
        told = QVBoxLayout(card)
        bare(told, margin=14, spacing=4)
        self.what = FitLabel(34, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.how = FitLabel(21, align=_TOP)
        told.addWidget(self.what, 30)
        told.addWidget(self.how, 70)
        right.addWidget(card, 34)
        self.hazards = CardFrame()
        self.hazards.lay_on(Ink.BAD_PALE)
        cautions = QHBoxLayout(self.hazards)
        bare(cautions, margin=12, spacing=10)
        self.sign = SignWidget()
        self.cautions = FitLabel(20, bold=QFont.Weight.DemiBold, align=_TOP)
        cautions.addWidget(self.sign, 10)
        cautions.addWidget(self.cautions, 90)
        right.addWidget(self.hazards, 66)
        line.addLayout(right, 46)

    @property
    def due(self) -> DueReading | None:
        """The reading that is chosen."""
        if self._shown is None or self.list.row is None:
            return None
        return next((one for one in self._shown.due if one.name == self.list.row.key), None)

    def show_survey(self, shown: SurveyShown) -> None:
        before = None if self._shown is None else {one.name for one in self._shown.due if one.kept}
        self._shown = shown
        self.list.show_rows(tuple(_row(one) for one in shown.due))
        kept = {one.name for one in shown.due if one.kept}
        if before is None or kept - before:
            unread = next((one.name for one in shown.due if not one.kept), None)
            if unread is not None:
                self.list.choose(unread)
        self._tell()

    def _tell(self) -> None:
        due, shown = self.due, self._shown
        if due is None or shown is None:
            self.what.say("No winding is named yet")
            self.how.say("W names the windings of the unit, inside first.")
            self.cautions.say(Hazard.LOCAL_CODES.value[1])
            return
        self.what.say(due.name)
        self.how.say("\n".join(_how(due, shown)))
        fed = due.part in ("volts", "exciting")
        gate = list(shown.gate) if fed and not shown.fed_because else []
        self.sign.show_sign(Shape.CROSS if gate else Shape.BOLT, Ink.BAD)
        full = [line for hazard in due.hazards for line in hazard.value[0]]
        self.cautions.say("\n".join([*gate, Hazard.LOCAL_CODES.value[1], *full]))
        self.cautions.setAccessibleName("cautions")


def _row(one: DueReading) -> Row:
    cells = (Cell(one.name, bold=not one.kept), Cell(one.kept or "not read", Ink.TEXT if one.kept else Ink.QUIET))
    return Row(one.name, cells, Shape.TICK if one.kept else Shape.RING, Ink.GOOD if one.kept else Ink.QUIET)


def _how(due: DueReading, shown: SurveyShown) -> list[str]:
    match due.part:
        case "insulation":
            return ["Before anything is fed: the winding to all the rest and the core, joined."]
        case "resistance":
            return ["Subtract what the leads read when held together. The temperature of the copper is the room's, if "
                    "it lay there for hours."]  # fmt: skip
        case "volts":
            first = list(shown.lines.get("First volts", ()))[:1]
            return [
                *first,
                f"Feed {due.fed} from a low voltage up, through a lamp or resistor in series. Part of the volts will "
                "do: the ratio is the same, as long as both are read at the same moment.",
            ]
    return [
        f"Feed {due.winding}, nothing connected to the others. One point at a time, rising; three or more. End where "
        "the current grows much faster than the volts, or at full volts. The same volts once more replace a point.",
    ]
