"""What the unit as found says: turns per volt first, then each winding, the flux, and what disagrees."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.flux_scale import FluxScale
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.row_list import Cell, Column, Row, RowList
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.survey.reckoned import SurveyShown
from bench.dashboard.survey.tightening_view import TighteningView
from bench.quantities import show
from bench.survey.sentences import turns_text
from bench.survey.values import Survey, WindingFound

__all__ = ["Overview"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_COLUMNS = (
    Column("winding", 0.19, 26),
    Column("plate", 0.13, 22, right=True),
    Column("open volts read", 0.22, 22, right=True),
    Column("turns counted", 0.18, 26, right=True),
    Column("foretold by all the rest", 0.28, 22, right=True),
)


class Overview(QWidget):
    """list: the windings as found, inside first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._next: str | None = None
        column = QVBoxLayout(self)
        bare(column, spacing=10)
        top = QHBoxLayout()
        bare(top, spacing=10)
        top.addWidget(self._per_volt(), 46)
        self.tightening = TighteningView()
        top.addWidget(self.tightening, 54)
        column.addLayout(top, 36)
        below = QHBoxLayout()
        bare(below, spacing=10)
        left = QVBoxLayout()
        bare(left, spacing=10)
        self.list = RowList("windings as found", _COLUMNS)
        left.addWidget(self.list, 66)
        left.addWidget(self._foretold(), 34)
        below.addLayout(left, 56)
        right = QVBoxLayout()
        bare(right, spacing=10)
        self.flux = FluxScale()
        right.addWidget(self.flux, 52)
        self.disagrees_card, self.disagrees_sign, self.disagrees = self._said()
        core_card, self.core_sign, self.core = self._said()
        right.addWidget(self.disagrees_card, 19)
        right.addWidget(core_card, 29)
        below.addLayout(right, 44)
        column.addLayout(below, 64)

    def show_survey(self, shown: SurveyShown) -> None:
        survey = shown.survey
        self._show_per_volt(shown)
        self.tightening.show_history(shown.history)
        rows = () if survey is None else tuple(_row(survey, shown, one) for one in survey.windings)
        self.list.show_rows(rows)
        due = None if survey is None else survey.next_winding
        if due is not None and due != self._next:
            self.list.choose(due)
        self._next = due
        if shown.flux is not None:
            self.flux.show_flux(shown.flux)
            self._show_core(shown)
        self._show_disagrees(shown)
        self.foretold.say(shown.foretold)
        whole = survey is not None and survey.whole
        if not shown.foretold:
            self.foretold.say(
                "Every winding is counted." if whole else "No winding is named yet: W names them, inside first."
            )
        missing = shown.lines.get("Still to read", ())
        still = f"Still to read: {missing[0]}." if missing else ""
        self.still.say(still or _low(shown))

    def show_problem(self, problem: str) -> None:
        """What is shown is older than what is known, which can't be brought together."""
        self.disagrees_card.lay_on(Ink.BAD_PALE)
        self.disagrees_sign.show_sign(Shape.CROSS, Ink.BAD)
        self.disagrees.say(f"Not as it stands now: {problem}")

    def _per_volt(self) -> CardFrame:
        card = self.per_volt_card = CardFrame()
        column = QVBoxLayout(card)
        bare(column, margin=14, spacing=2)
        line = QHBoxLayout()
        bare(line, spacing=12)
        self.sign = SignWidget()
        self.per_volt = FitLabel(96, bold=QFont.Weight.Bold, like="8.888")
        self.within = FitLabel(44, bold=QFont.Weight.DemiBold, ink=Ink.COPPER)
        line.addWidget(self.sign, 12)
        line.addWidget(self.per_volt, 54)
        line.addWidget(self.within, 34)
        column.addLayout(line, 58)
        self.unit = FitLabel(24, bold=QFont.Weight.DemiBold)
        self.from_what = FitLabel(18, ink=Ink.QUIET, align=_TOP)
        column.addWidget(self.unit, 17)
        column.addWidget(self.from_what, 25)
        return card

    def _foretold(self) -> CardFrame:
        card = CardFrame()
        column = QVBoxLayout(card)
        bare(column, margin=14, spacing=2)
        title = FitLabel(17, ink=Ink.QUIET)
        title.say("the next winding")
        self.foretold = FitLabel(28, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.still = FitLabel(18, ink=Ink.QUIET)
        column.addWidget(title, 26)
        column.addWidget(self.foretold, 44)
        column.addWidget(self.still, 30)
        return card

    def _said(self) -> tuple[CardFrame, SignWidget, FitLabel]:
        """A sentence with its sign."""
        card = CardFrame()
        line = QHBoxLayout(card)
        bare(line, margin=10, spacing=10)
        sign, words = SignWidget(), FitLabel(20)
        line.addWidget(sign, 9)
        line.addWidget(words, 91)
        return card, sign, words

    def _show_per_volt(self, shown: SurveyShown) -> None:
        survey = shown.survey
        per_volt = None if survey is None else survey.turns_per_volt
        if survey is None or per_volt is None:
            self.per_volt_card.lay_on(Ink.CARD)
            self.sign.show_sign(Shape.RING, Ink.QUIET)
            self.per_volt.say("–")
            self.within.say("")
            self.unit.say("turns per volt: not known yet")
            self.from_what.say(shown.undecided)
            self.per_volt.setAccessibleName("turns per volt not known yet")
            return
        good = not shown.undecided
        self.per_volt_card.lay_on(Ink.GOOD_PALE if good else Ink.DOUBT_PALE)
        self.sign.show_sign(Shape.TICK if good else Shape.QUERY, Ink.GOOD if good else Ink.DOUBT)
        self.per_volt.say(f"{per_volt.value:.3f}")
        self.within.say(f"± {per_volt.expanded:.3f}")
        self.per_volt.setAccessibleName(f"{per_volt.value:.3f} plus or minus {per_volt.expanded:.3f} turns per volt")
        volts = survey.reference_volts or 0.0
        self.unit.say(f"turns per volt: one turn gives {1 / per_volt.value:.3f} V")
        counted = [one.name for one in survey.windings if one.counted is not None]
        from_what = f"with {volts:g} V on {survey.reference}, from {', '.join(counted) or 'the current ratio'}"
        self.from_what.say(shown.undecided or from_what)

    def _show_disagrees(self, shown: SurveyShown) -> None:
        lines = list(shown.lines.get("What disagrees", ()))
        self.disagrees_card.lay_on(Ink.DOUBT_PALE if lines else Ink.CARD)
        if lines:
            self.disagrees_sign.show_sign(Shape.QUERY, Ink.DOUBT)
            self.disagrees.say("\n".join(lines[:3]))
        elif shown.survey is not None and shown.survey.turns_per_volt is not None:
            self.disagrees_sign.show_sign(Shape.TICK, Ink.GOOD)
            self.disagrees.say("Nothing disagrees: counts and volts fit each other.")
        else:
            self.disagrees_sign.show_sign(Shape.RING, Ink.QUIET)
            self.disagrees.say("Nothing to compare yet: a count or volts of two windings say whether all fits.")

    def _show_core(self, shown: SurveyShown) -> None:
        words = _core_verdict(shown)
        well = "does not bear" not in words and "may not" not in words
        shape, ink = (Shape.TICK, Ink.GOOD) if well else (Shape.BANG, Ink.BAD)
        if not words:
            shape, ink = Shape.RING, Ink.QUIET
        self.core_sign.show_sign(shape, ink)
        self.core.say(words or "Whether the core bears the new supply is not known yet.")


def _low(shown: SurveyShown) -> str:
    """Insulation that asks for something."""
    lines = shown.lines.get("Insulation as found", ())
    return next((line for line in lines if "low" in line or "less than" in line), "")


def _core_verdict(shown: SurveyShown) -> str:
    """Whether the core bears the new supply, as the survey says it."""
    lines = shown.lines.get("Flux density", ())
    return next((line for line in lines if "bear" in line), "")


def _row(survey: Survey, shown: SurveyShown, one: WindingFound) -> Row:
    volts = next((read for read in shown.known.gathered.found.volts if read.winding == one.name), None)
    plate = "" if one.nameplate is None else f"{one.nameplate:g} V"
    counted = "not yet" if one.counted is None else f"{one.counted.turns:g}"
    foretold = "–" if one.expected is None else turns_text(one.expected).removesuffix(" turns")
    if one.counted is None:
        shape, ink = (Shape.DOT, Ink.COPPER) if survey.next_winding == one.name else (Shape.RING, Ink.QUIET)
    elif one.agrees and one.copper_apart is None:
        shape, ink = Shape.TICK, Ink.GOOD
    else:
        shape, ink = Shape.QUERY, Ink.DOUBT
        foretold += ", apart"
    return Row(
        one.name,
        (
            Cell(one.name, bold=True),
            Cell(plate, Ink.QUIET),
            Cell("" if volts is None else show(volts.voltage.value, "V", 4)),
            Cell(counted, Ink.TEXT if one.counted is not None else Ink.QUIET, bold=one.counted is not None),
            Cell(foretold, Ink.COPPER if one.counted is None else Ink.TEXT, bold=one.counted is None),
        ),
        shape,
        ink,
    )
