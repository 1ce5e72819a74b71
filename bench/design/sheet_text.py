"""The winding sheet as plain text, no wider than a page of typing paper."""

from __future__ import annotations

import textwrap

from bench.design.sheet_values import Sheet
from bench.design.sheet_words import Section, sections, title, verdict
from bench.design.winding_words import Table

__all__ = ["COLUMNS", "sheet_text"]

COLUMNS = 96

_BOX = "[ ] "
_GAP = "  "


def sheet_text(sheet: Sheet) -> str:
    """The whole sheet, lines ended by line feeds; what doesn't fit the window is said before everything else."""
    lines = _filled(title(sheet), "", "")
    problem = verdict(sheet)
    if problem:
        lines += ["", *_filled(problem, "!! ", "!! ")]
    for one in sections(sheet):
        lines += ["", *_section(one)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _section(one: Section) -> list[str]:
    heading = _printable(one.heading)
    lines = [heading, "-" * len(heading)]
    for line in one.lines:
        lines += _filled(line, "  ", "  ")
    wide = max((len(label) for label, _ in one.facts), default=0)
    for label, text in one.facts:
        lines += _filled(text, f"  {label:<{wide}}  ", " " * (wide + 4))
    if one.table is not None:
        lines += _table(one.table)
    for check in one.checks:
        lines += _filled(check, f"  {_BOX}", " " * (2 + len(_BOX)))
    if one.readings is not None:
        lines += _table(one.readings)
    return lines


def _table(table: Table) -> list[str]:
    rows = [table.heads, *(tuple(_printable(cell) for cell in row) for row in table.rows)]
    wide = _widths(table, rows)
    lines = []
    for number, row in enumerate(rows):
        box = "" if not table.ticks else _BOX if number else " " * len(_BOX)
        cells = [textwrap.wrap(cell, wide[column]) or [""] for column, cell in enumerate(row)]
        for line in range(max(len(cell) for cell in cells)):
            parts = [cell[line] if line < len(cell) else "" for cell in cells]
            set_out = [
                f"{part:>{wide[column]}}" if table.is_number(column) else f"{part:<{wide[column]}}"
                for column, part in enumerate(parts)
            ]
            lines.append(f"  {box if not line else ' ' * len(box)}{_GAP.join(set_out)}")
    return lines


def _widths(table: Table, rows: list[tuple[str, ...]]) -> list[int]:
    """Of the columns; where all are too wide for the page, the widest words are broken first."""
    wide = [max(len(row[column]) for row in rows) for column in range(len(table.heads))]
    room = COLUMNS - 2 - (len(_BOX) if table.ticks else 0) - len(_GAP) * (len(wide) - 1)
    while sum(wide) > room:
        wide[wide.index(max(wide))] -= 1
    return wide


def _filled(text: str, first: str, rest: str) -> list[str]:
    return textwrap.wrap(
        _printable(text), COLUMNS, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def _printable(text: str) -> str:
    """What a person typed moves no cursor and breaks no line."""
    return "".join(c if c.isprintable() else " " for c in text)
