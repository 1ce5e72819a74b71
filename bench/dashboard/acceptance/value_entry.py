"""Where a reading from another instrument is typed: in the focus as soon as it is asked for, its unit beside it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QTimer
from PySide6.QtGui import QFont, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from bench.acceptance.requests import Enter
from bench.dashboard import news as told
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape, font_of, scale_of
from bench.dashboard.parts.signs import SignWidget
from bench.quantities import show

__all__ = ["ValueEntry"]


class ValueEntry(QWidget):
    """Empty anew for each asking, so that nobody takes the last value for this one.

    What was wrong with the last value stands below it, in the words of whoever refused it.  gives_way: whether keys are
    for something else just now, such as a question at the foot of the window.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._number = 0
        self.gives_way: Callable[[], bool] = lambda: False
        self._request: Enter | None = None
        self._what: tuple[str, str] = ("", "")
        self._first = ""
        self.refusal = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        column = QVBoxLayout(self)
        bare(column, spacing=4)
        line, below = QHBoxLayout(), QHBoxLayout()
        bare(line, spacing=10)
        bare(below, spacing=6)
        self.line = QLineEdit()
        self.line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.unit = FitLabel(30, bold=QFont.Weight.Bold)
        self.sign, self.problem = SignWidget(), FitLabel(18)
        line.addWidget(self.line, 70)
        line.addWidget(self.unit, 30)
        below.addWidget(self.sign, 10)
        below.addWidget(self.problem, 90)
        column.addLayout(line, 52)
        column.addLayout(below, 48)

    @property
    def asks(self) -> bool:
        return self._request is not None

    def show_asked(self, awaiting: told.Awaits | None) -> None:
        request = None if awaiting is None else awaiting.request
        number = 0 if awaiting is None else awaiting.number
        self._request = request if isinstance(request, Enter) else None
        if self._request is None:
            return
        if number == self._number:
            # Whatever had the focus meanwhile has given it back to the window.
            if self.window().focusWidget() in (None, self.window()):
                self._take_focus()
            return
        self._number = number
        self.line.clear()
        what = (self._request.step, self._request.quantity)
        self.refusal = refusal_in(self._first, self._request.text) if what == self._what else ""
        if not self.refusal:
            self._what, self._first = what, self._request.text
        self._say(self.refusal, _about(self._request))
        self.unit.say(_unit_words(self._request))
        self.line.setAccessibleName(f"{self._request.quantity.replace('_', ' ')} in {_unit_words(self._request)}")
        self._size_type()
        QTimer.singleShot(0, self._take_focus)

    def typed(self) -> str | None:
        """What was typed; None, and a word of why, where nothing was."""
        text = self.line.text().strip()
        if text:
            return text
        if self._request is not None:
            example = f"such as 12.5 {_unit_words(self._request)}" if self._request.quantity.unit else "in words"
            self._say(f"a value is due, {example}", "")
        return None

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self._size_type()

    def _take_focus(self) -> None:
        if not self.gives_way():
            self.line.setFocus()

    def _say(self, problem: str, about: str) -> None:
        self.problem.say(problem or about)
        self.problem.say_in(Ink.BAD if problem else Ink.QUIET)
        self.sign.show_sign(Shape.BANG if problem else Shape.NONE, Ink.BAD)

    def _size_type(self) -> None:
        size = min(round(32 * scale_of(self)), max(12, round(self.line.height() * 0.6)))
        self.line.setFont(font_of(size, QFont.Weight.Bold))


def refusal_in(first: str, text: str) -> str:
    """What was wrong with the value typed before: a request that is put again begins with it.  first: how the request
    was put for the first time."""
    before = text.removesuffix(first)
    return before.strip().removesuffix(".") if before != text and "expected" in before else ""


def _about(request: Enter) -> str:
    if request.expected is None or not request.quantity.unit:
        return ""
    return f"about {show(request.expected, request.quantity.unit, 2)} is due".replace("ohm", "Ω")


def _unit_words(request: Enter) -> str:
    return request.unit.replace("ohm", "Ω").replace("degC", "°C")
