"""All that can be done just now, each on its key, in one or two rows at the foot of the window."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from bench.dashboard.parts.act import Act, Question
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.key_button import KeyButton

__all__ = ["ActsBar"]

_A_ROW = 6
_ROWS = 2
_LARGE_WIDE, _SMALL_WIDE = 5, 4
_FEW = 3


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
        self._elsewhere = False
        self._acts: Callable[[], tuple[Act, ...]] = tuple
        self.buttons: list[KeyButton] = []

    def show_acts(self, acts: Callable[[], tuple[Act, ...]]) -> None:
        """What is pressed later does what `acts` says then under that key."""
        self._acts = acts
        focused = next((one.key for one in self.buttons if one.hasFocus()), None)
        for button in self.buttons:
            self._grid.removeWidget(button)
            button.hide()
            button.deleteLater()
        for shortcut in self._shortcuts:
            shortcut.setEnabled(False)
            shortcut.deleteLater()
        self.buttons, self._shortcuts = [], []
        shown = acts()
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, 0)
        for act, (row, column, rows, wide) in zip(shown, _places(shown), strict=True):
            button = KeyButton(act.key, act.words, strong=act.strong, large=rows == _ROWS)
            button.clicked.connect(partial(self.press, act.key))
            self._grid.addWidget(button, row, column, rows, 1)
            self._grid.setColumnStretch(column, wide)
            self.buttons.append(button)
            if act.key == focused:
                button.setFocus()
            for key in (act.key, *act.also):
                self._shortcut(key, act.key)
        if 0 < len(shown) < _FEW:
            # a single thing to do is no wall of colour
            self._grid.setColumnStretch(len(shown), _LARGE_WIDE * (_FEW - len(shown)))

    def _shortcut(self, key: str, means: str) -> None:
        # a single sign by its code: as text a comma or a plus would mean something else
        sequence = QKeySequence(ord(key.upper())) if len(key) == 1 else QKeySequence(key)
        shortcut = QShortcut(sequence, self.window(), partial(self.press, means))
        shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        shortcut.setAutoRepeat(False)
        shortcut.setEnabled(not self._elsewhere)
        self._shortcuts.append(shortcut)

    def keys_go_elsewhere(self, elsewhere: bool) -> None:
        """While a line is typed, keys are letters."""
        self._elsewhere = elsewhere
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


def _places(acts: Sequence[Act]) -> list[tuple[int, int, int, int]]:
    """Row, column, rows that it takes and width of each: a few stand in one row; of many those that matter are large
    and first, and the rest share two rows."""
    large = [act for act in acts if act.large] if len(acts) > _A_ROW else list(acts)
    small = [act for act in acts if act not in large]
    a_row = -(-len(small) // _ROWS)
    return [
        (0, large.index(act), _ROWS, _LARGE_WIDE)
        if act in large
        else (small.index(act) // a_row, len(large) + small.index(act) % a_row, 1, _SMALL_WIDE)
        for act in acts
    ]
