"""The winding sheet as a page to print and to tick, with everything that a person typed made inert."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader
from markupsafe import Markup

from bench.design.section import Section
from bench.design.sheet_values import Sheet
from bench.design.sheet_words import sections, title, verdict

__all__ = ["sheet_html"]


def sheet_html(sheet: Sheet, section: Section) -> str:
    """One HTML document without outside parts;  section: the window to scale, on a page of its own."""
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, trim_blocks=True, lstrip_blocks=True
    )
    return environment.get_template("sheet.html.jinja").render(
        title=title(sheet),
        verdict=verdict(sheet),
        sections=sections(sheet),
        # Made by the drawing, which makes its own words inert.
        drawing=Markup(section.svg),
    )
