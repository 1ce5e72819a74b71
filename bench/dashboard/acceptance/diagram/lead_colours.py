"""What a lead's colour looks like by its name; a name that says nothing here is only written."""

from __future__ import annotations

import re

__all__ = ["lead_colours"]

_COLOURS = {
    "black": "#1c1c1c", "brown": "#7a4a1e", "red": "#c62828", "orange": "#e8761a", "yellow": "#f2cf1d",
    "green": "#2e8b3d", "blue": "#2456b3", "violet": "#7b3fa0", "purple": "#7b3fa0", "grey": "#8c8c8c",
    "gray": "#8c8c8c", "white": "#ffffff", "pink": "#eb8fb0", "turquoise": "#2aa5a0", "clear": "#e6dfd1",
    "copper": "#b5672f", "bare": "#b5672f",
}  # fmt: skip


def lead_colours(name: str) -> tuple[str, ...]:
    """`black-white` as its one or two colours, `#rrggbb`; empty where a part of it is no colour known here."""
    parts = [part for part in re.split(r"[-/, ]+|and", name.lower()) if part]
    found = [_COLOURS.get(part) for part in parts]
    known = tuple(one for one in found if one is not None)
    return known[:2] if known and len(known) == len(found) else ()
