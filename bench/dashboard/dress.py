"""Whether the window is light or dark: as the desktop is, until a person chooses; what was chosen is kept."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication

from bench.dashboard.parts.theme import worn
from bench.dashboard.parts.wear import system_theme, wear
from bench.dashboard.settings import keep_theme, kept_theme

__all__ = ["Dress"]


class Dress(QObject):
    """Wears what is due as soon as it is made.  `changed` after each change."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._chosen = kept_theme()
        self._closed = False
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._system_changed)
        wear(self._chosen or system_theme())

    @property
    def next_words(self) -> str:
        """What `change` will make it: in a word."""
        return str(worn().other)

    def change(self) -> str:
        """To the other; what there is to say of it.  One that is the system's own follows the system from then on."""
        theme = worn().other
        self._chosen = None if theme is system_theme() else theme
        wear(theme)
        problem = keep_theme(self._chosen)
        self.changed.emit()
        as_system = ", as the system is," if self._chosen is None else ""
        return problem or f"The window is {theme}{as_system} from now on."

    def close(self) -> None:
        """The window is gone: what the system does from now on is another's."""
        self._closed = True

    def _system_changed(self) -> None:
        if self._chosen is None and not self._closed:
            wear(system_theme())
            self.changed.emit()
