"""Where a reading from another instrument is typed: in the focus as soon as it is asked for, its unit beside it."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QSizePolicy, QWidget

from bench.acceptance.requests import Enter
from bench.dashboard import news as told
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, font_of, scale_of

__all__ = ["ValueEntry"]


class ValueEntry(QWidget):
    """Empty anew for each asking, so that nobody takes the last value for this one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._number = 0
        self._request: Enter | None = None
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        line = QHBoxLayout(self)
        bare(line, spacing=10)
        self.line = QLineEdit()
        self.line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.unit = FitLabel(30, bold=QFont.Weight.Bold)
        self.problem = FitLabel(17, ink=Ink.BAD)
        line.addWidget(self.line, 46)
        line.addWidget(self.unit, 14)
        line.addWidget(self.problem, 40)

    @property
    def asks(self) -> bool:
        return self._request is not None

    def show_asked(self, awaiting: told.Awaits | None) -> None:
        request = None if awaiting is None else awaiting.request
        number = 0 if awaiting is None else awaiting.number
        self._request = request if isinstance(request, Enter) else None
        self.setVisible(self._request is not None)
        if self._request is None or number == self._number:
            return
        self._number = number
        self.line.clear()
        self.problem.say("")
        self.unit.say(self._request.unit.replace("ohm", "Ω"))
        self.line.setFont(font_of(round(30 * scale_of(self)), QFont.Weight.Bold))
        self.line.setAccessibleName(f"{self._request.quantity} in {self._request.unit}")
        QTimer.singleShot(0, self.line.setFocus)

    def typed(self) -> str | None:
        """What was typed; None, and a word of why, where nothing was."""
        text = self.line.text().strip()
        if text:
            return text
        if self._request is not None:
            self.problem.say(f"a value is due, such as 12.5 {self._request.unit}")
        return None
