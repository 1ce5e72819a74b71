"""A widget that is told when the window goes from light to dark or back."""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.theme import worn

__all__ = ["ThemedWidget"]


class ThemedWidget(QWidget):
    """`theme_changed` is called once for each change."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = worn()

    def theme_changed(self) -> None:
        """Make anew what keeps a colour."""

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 (Qt's name)
        super().changeEvent(event)
        # A palette changes for other reasons too, and before this object is whole.
        if event.type() is QEvent.Type.PaletteChange and getattr(self, "_theme", worn()) is not worn():
            self._theme = worn()
            self.theme_changed()
