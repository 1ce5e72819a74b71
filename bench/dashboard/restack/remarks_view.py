"""What follows from the answers: warnings first, each with what comes of it and which test shows it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.acceptance.cautions import Cautions, Hazard
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel, height_of
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget
from bench.records.entry import Kind
from bench.sitting.stage_answering import StageStands
from bench.winding.restack_words import FIRST_WORDS
from bench.winding.stage import Remark, Weight

__all__ = ["RemarksView"]

_SHOWN = 2
_SIGNS = {
    Weight.WARNING: (Shape.BANG, Ink.BAD),
    Weight.MISSING: (Shape.RING, Ink.COPPER),
    Weight.NOTE: (Shape.DOT, Ink.DOUBT),
}
_CAN_HURT = ("band_inside", "not_earthed")
"""Come before what spoils a reading only."""
_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


class _Block(QWidget):
    """One remark."""

    def __init__(self) -> None:
        super().__init__()
        line = QHBoxLayout(self)
        bare(line, spacing=10)
        self.sign = SignWidget()
        self.words = FitLabel(20, bold=QFont.Weight.DemiBold, align=_TOP)
        self.follows = FitLabel(18, align=_TOP)
        said = QVBoxLayout()
        bare(said)
        self._said = said
        said.addWidget(self.words, 40)
        said.addWidget(self.follows, 60)
        line.addWidget(self.sign, 6)
        line.addLayout(said, 94)

    def show_remark(self, remark: Remark, *, whole: bool) -> None:
        """whole: with what comes of it."""
        shape, ink = _SIGNS[remark.weight]
        self.sign.show_sign(shape, ink)
        words = remark.words if remark.weight is not Weight.MISSING else f"not answered: {remark.words}"
        shown = f" Shown by: {remark.shown_by}." if remark.shown_by else ""
        follows = f"{remark.consequence}{shown}".strip() if whole else ""
        self._say(words, follows, ink if remark.weight is Weight.WARNING else Ink.TEXT)

    def show_words(self, head: str, rest: str) -> None:
        """Of no weight."""
        self.sign.show_sign(Shape.DOT, Ink.QUIET)
        self._say(head, rest, Ink.TEXT)

    def show_caution(self, words: str) -> None:
        """Something that can hurt, in full."""
        self.sign.show_sign(Shape.BANG, Ink.BAD)
        self._say("", words, Ink.TEXT)

    def _say(self, head: str, rest: str, ink: Ink) -> None:
        self.words.say(f"{head[:1].upper()}{head[1:]}")
        self.words.say_in(ink)
        self.follows.say(f"{rest[:1].upper()}{rest[1:]}")
        self._said.setStretch(0, height_of(self.words.text(), 50, 20) if head else 0)
        self._said.setStretch(1, height_of(self.follows.text(), 60, 17) if rest else 0)


class RemarksView(CardFrame):
    """Those about the question that is looked at come first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.column = QVBoxLayout(self)
        bare(self.column, margin=12, spacing=6)
        self.blocks = [_Block() for _ in range(_SHOWN)]
        for block in self.blocks:
            self.column.addWidget(block, 40)
        self.more = FitLabel(17, ink=Ink.QUIET)
        self.column.addWidget(self.more, 12)
        self.setAccessibleName("what follows")

    def show_remarks(self, stage: StageStands, current: str, asks: bool) -> None:
        """current: the question that is looked at;  asks: whether any is left to be asked."""
        warned = any(one.weight is Weight.WARNING for one in stage.account.remarks)
        self.lay_on(Ink.BAD_PALE if warned and stage.begun else Ink.CARD)
        if not stage.begun:
            self._show_first_words(stage.kind)
            return
        told = _to_tell(stage, current)
        for place, (block, remark) in enumerate(zip(self.blocks, told, strict=False)):
            block.show_remark(remark, whole=place == 0)
        for place, block in enumerate(self.blocks):
            block.setVisible(place < len(told))
            rows = height_of(block.words.text(), 50, 20) + height_of(block.follows.text() or " ", 60, 17)
            self.column.setStretch(place, rows if place < len(told) else 0)
        self.column.setStretch(len(self.blocks), 40 if told else 200)
        self.more.say(_more(stage, told, asks))

    def _show_first_words(self, kind: Kind) -> None:
        """Before anything is answered: how it is done."""
        words: tuple[str, ...] = FIRST_WORDS
        if kind is Kind.VARNISH:
            words = ("\n".join(Cautions().of(Hazard.VARNISH)), "\n".join(Cautions().of(Hazard.OVEN)))
        for place, block in enumerate(self.blocks):
            block.setVisible(place < len(words))
            self.column.setStretch(place, height_of(words[place], 60, 17))
        for block, line in zip(self.blocks, words, strict=True):
            if kind is Kind.VARNISH:
                block.show_caution(line)
                continue
            head, _, rest = line.partition(": " if ": " in line else ". ")
            block.show_words(head, rest)
        self.column.setStretch(len(self.blocks), 0)
        self.more.say("")


def _to_tell(stage: StageStands, current: str) -> list[Remark]:
    """What is not answered is told by its sign among the answers, so warnings and notes have the room."""
    if not stage.begun:
        return []
    told = [one for one in stage.account.remarks if one.weight is not Weight.MISSING]
    return sorted(told, key=lambda one: (one.about != current or not current, one.name not in _CAN_HURT))[:_SHOWN]


def _more(stage: StageStands, told: list[Remark], asks: bool) -> str:
    if not stage.begun:
        return ""
    remarks = stage.account.remarks
    more = [one for one in remarks if one.weight is not Weight.MISSING and one not in told]
    warnings = sum(one.weight is Weight.WARNING for one in more)
    missing = [one.words for one in remarks if one.weight is Weight.MISSING]
    parts = []
    if more:
        notes = len(more) - warnings
        kinds = [_times(warnings, "warning"), _times(notes, "note")]
        parts.append(f"and {' and '.join(kind for kind in kinds if kind)} more: go to their answers")
    if missing:
        parts.append(f"not answered: {', '.join(missing)}")
    if not parts and not told:
        parts.append("nothing against it" if stage.in_order and not asks else "nothing against it so far")
    return "; ".join(parts)


def _times(number: int, what: str) -> str:
    return "" if not number else f"{number} {what}{'' if number == 1 else 's'}"
