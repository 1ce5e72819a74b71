"""Whether the window is light or dark: as the desktop is, until a person chooses; what was chosen is kept."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication

from bench.dashboard.parts.theme import Theme, worn
from bench.dashboard.parts.wear import system_theme, wear
from bench.dashboard.settings import keep_theme, kept_theme

__all__ = ["Dress"]

_WORDS = {Theme.LIGHT: "light", Theme.DARK: "dark", None: "as the desktop"}


class Dress(QObject):
    """Wears what is due as soon as it is made.  `changed` after each change."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._chosen = kept_theme()
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._system_changed)
        wear(self._chosen or system_theme())

    @property
    def next_words(self) -> str:
        """What `change` will make it: in a word."""
        return _WORDS[self._next()]

    def change(self) -> str:
        """To the other one, then to the desktop's own by choice, then to whatever the desktop has; what there is to say
        of it."""
        self._chosen = self._next()
        wear(self._chosen or system_theme())
        problem = keep_theme(self._chosen)
        self.changed.emit()
        return problem or f"The window is {_WORDS[self._chosen]} from now on."

    def _next(self) -> Theme | None:
        if self._chosen is None:
            return worn().other
        return None if self._chosen is system_theme() else self._chosen.other

    def _system_changed(self) -> None:
        if self._chosen is None:
            wear(system_theme())
            self.changed.emit()
