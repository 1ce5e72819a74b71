"""Puts a theme on: `Ink` says its colours from now on, and every widget is told to paint itself anew."""

from __future__ import annotations

from typing import cast

from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QToolTip

from bench.dashboard.parts.look import Ink
from bench.dashboard.parts.theme import Theme, put_on

__all__ = ["system_theme", "wear"]

_Role = QPalette.ColorRole
_ROLES = {
    _Role.Window: Ink.PAPER,
    _Role.WindowText: Ink.TEXT,
    _Role.Base: Ink.CARD,
    _Role.AlternateBase: Ink.EMPTY,
    _Role.Text: Ink.TEXT,
    _Role.PlaceholderText: Ink.QUIET,
    _Role.Button: Ink.CARD,
    _Role.ButtonText: Ink.TEXT,
    _Role.BrightText: Ink.BAD,
    _Role.Light: Ink.CARD,
    _Role.Midlight: Ink.EMPTY,
    _Role.Mid: Ink.LINE,
    _Role.Dark: Ink.QUIET,
    _Role.Shadow: Ink.TEXT,
    # What is marked is read as it is on a strong button: in the colour of the card, on copper.
    _Role.Highlight: Ink.COPPER,
    _Role.HighlightedText: Ink.CARD,
    _Role.Accent: Ink.COPPER,
    _Role.Link: Ink.COPPER,
    _Role.ToolTipBase: Ink.CARD,
    _Role.ToolTipText: Ink.TEXT,
}
_FAINT = (_Role.WindowText, _Role.Text, _Role.ButtonText)


def wear(theme: Theme) -> None:
    """In the whole application, which must be there."""
    put_on(theme)
    application = cast(QApplication, QApplication.instance())
    palette = _palette()
    if application.palette() != palette:
        application.setPalette(palette)
        QToolTip.setPalette(palette)


def system_theme() -> Theme:
    """As the desktop has it; light where it does not say."""
    application = cast(QApplication, QApplication.instance())
    dark = application.styleHints().colorScheme() is Qt.ColorScheme.Dark
    return Theme.DARK if dark else Theme.LIGHT


def _palette() -> QPalette:
    palette = QPalette()
    for role, ink in _ROLES.items():
        palette.setColor(role, ink.colour)
    for role in _FAINT:
        palette.setColor(QPalette.ColorGroup.Disabled, role, Ink.QUIET.colour)
    return palette
