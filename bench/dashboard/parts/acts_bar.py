"""All that can be done just now, each on its key, in one or two rows at the foot of the window."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from bench.dashboard.parts.act import Act, Question
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.key_button import KeyButton

__all__ = ["ActsBar"]

_A_ROW = 6


class ActsBar(QWidget):
    """`asks` a Question where an act needs a line first."""

    asks = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("what can be done")
        self._grid = QGridLayout(self)
        bare(self._grid, spacing=6)
        self._shortcuts: list[QShortcut] = []
        self._acts: Callable[[], tuple[Act, ...]] = tuple
        self.buttons: list[KeyButton] = []

    def show_acts(self, acts: Callable[[], tuple[Act, ...]]) -> None:
        """What is pressed later does what `acts` says then under that key."""
        self._acts = acts
        for button in self.buttons:
            self._grid.removeWidget(button)
            button.hide()
            button.deleteLater()
        for shortcut in self._shortcuts:
            shortcut.setEnabled(False)
            shortcut.deleteLater()
        self.buttons, self._shortcuts = [], []
        shown = acts()
        rows = 1 if len(shown) <= _A_ROW else 2
        a_row = -(-len(shown) // rows) if shown else 1
        for place, act in enumerate(shown):
            button = KeyButton(act.key, act.words, strong=act.strong)
            button.clicked.connect(partial(self.press, act.key))
            self._grid.addWidget(button, place // a_row, place % a_row)
            self.buttons.append(button)
            shortcut = QShortcut(QKeySequence(act.key), self.window(), partial(self.press, act.key))
            shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
            shortcut.setAutoRepeat(False)
            self._shortcuts.append(shortcut)

    def keys_go_elsewhere(self, elsewhere: bool) -> None:
        """While a line is typed, keys are letters."""
        for shortcut in self._shortcuts:
            shortcut.setEnabled(not elsewhere)

    def press(self, key: str) -> None:
        act = next((one for one in self._acts() if one.key == key), None)
        if act is None:
            return
        if isinstance(act.does, Question):
            self.asks.emit(act.does)
        else:
            act.does()
