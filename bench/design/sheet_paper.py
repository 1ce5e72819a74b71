"""The winding sheet on paper: PDF, A4, to be read at arm's length and ticked at the machine."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from bench.design.section import Section as Drawing
from bench.design.sheet_values import Sheet
from bench.design.sheet_words import Section, sections, title, verdict
from bench.design.typesetting import in_our_type, typeset
from bench.design.winding_words import Table

__all__ = ["sheet_paper"]

_TEMPLATE = Path(__file__).with_name("sheet.typ")


def sheet_paper(sheet: Sheet, drawing: Drawing) -> bytes:
    """PDF with the words of the page and of the text;  drawing: the window to scale, on a page of its own."""
    told = {
        "title": title(sheet),
        "number": sheet.number,
        "verdict": verdict(sheet),
        "sections": [_section(one) for one in sections(sheet)],
        "drawing": in_our_type(drawing.svg),
        "wide": drawing.width,
    }
    return typeset(_TEMPLATE, told)


def _section(one: Section) -> dict[str, Any]:
    return {
        "heading": one.heading,
        "mark": str(one.mark),
        "lines": list(one.lines),
        "facts": [list(row) for row in one.facts],
        "table": None if one.table is None else _table(one.table),
        "checks": list(one.checks),
        "readings": None if one.readings is None else _table(one.readings),
    }


def _table(one: Table) -> dict[str, Any]:
    return {
        "heads": list(one.heads),
        "rows": [list(row) for row in one.rows],
        "numbers": [one.is_number(column) for column in range(len(one.heads))],
        "ticks": one.ticks,
    }
