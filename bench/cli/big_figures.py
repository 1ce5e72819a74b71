"""Figures so large that they are read from across the room, of blocks that every terminal has."""

from __future__ import annotations

__all__ = ["big_figures"]

_ROWS = 5
_SHAPES = {
    "0": ("#####", "#   #", "#   #", "#   #", "#####"),
    "1": ("   # ", "  ## ", "   # ", "   # ", "  ###"),
    "2": ("#####", "    #", "#####", "#    ", "#####"),
    "3": ("#####", "    #", " ####", "    #", "#####"),
    "4": ("#   #", "#   #", "#####", "    #", "    #"),
    "5": ("#####", "#    ", "#####", "    #", "#####"),
    "6": ("#####", "#    ", "#####", "#   #", "#####"),
    "7": ("#####", "    #", "   # ", "  #  ", "  #  "),
    "8": ("#####", "#   #", "#####", "#   #", "#####"),
    "9": ("#####", "#   #", "#####", "    #", "#####"),
    "-": ("     ", "     ", "#####", "     ", "     "),
    ".": ("  ", "  ", "  ", "  ", "##"),
    "?": ("#####", "    #", "  ###", "     ", "  #  "),
    " ": ("   ", "   ", "   ", "   ", "   "),
}


def big_figures(text: str, columns: int, rows: int, block: str = "█") -> list[str]:
    """Lines of at most `columns` with the figures of `text`, as large as `rows` allow; the text itself where even the
    smallest don't fit."""
    for scale in (3, 2, 1):
        if scale * _ROWS <= rows and _width(text, scale) <= columns:
            return _drawn(text, scale, block)
    return [text[:columns]]


def _width(text: str, scale: int) -> int:
    return sum(len(_SHAPES.get(sign, _SHAPES["?"])[0]) * scale + scale for sign in text) - scale


def _drawn(text: str, scale: int, block: str) -> list[str]:
    lines = []
    for row in range(_ROWS):
        parts = [_SHAPES.get(sign, _SHAPES["?"])[row] for sign in text]
        line = (" " * scale).join("".join((block if dot == "#" else " ") * scale for dot in part) for part in parts)
        lines += [line.rstrip()] * scale
    return lines
