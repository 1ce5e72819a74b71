"""Light or dark: which of the two the window wears just now.

How a widget takes part, and what it need not do:

- Colours come from `look.Ink` alone.  `Ink.BAD.colour` is the colour of the theme that is worn at that moment.
- What is painted in a `paintEvent` asks `Ink` while it paints, and needs nothing else: on a change every widget is sent
  a `PaletteChange` and paints itself anew.
- Qt's own widgets (a line to type in, a list, a tool tip) wear the application's palette, which `wear` makes of `Ink`.
- A `FitLabel` keeps its ink and dyes itself anew.
- Whoever keeps a colour longer than one painting (a pen of a plot, a picture drawn in advance) is a `ThemedWidget`, as
  every `Face` and `CardFrame` is, and makes it anew in `theme_changed`.
"""

from __future__ import annotations

from enum import StrEnum

__all__ = ["Theme", "put_on", "worn"]


class Theme(StrEnum):
    LIGHT = "light"
    DARK = "dark"

    @property
    def other(self) -> Theme:
        return Theme.DARK if self is Theme.LIGHT else Theme.LIGHT


_worn = Theme.LIGHT


def worn() -> Theme:
    return _worn


def put_on(theme: Theme) -> None:
    """Only what `Ink` says: `wear` tells the widgets too."""
    global _worn
    _worn = theme
