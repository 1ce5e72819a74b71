"""The drawing of support block and cheeks, to cut them by hand or to check a print: one sheet of A4."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from bench.workshop.support import Support
from bench.workshop.svg_sheet import SvgSheet

__all__ = ["DoesNotFitSheet", "support_drawing"]

_WIDTH, _HEIGHT, _EDGE = 297.0, 210.0, 10.0
_SCALES = (1, 2, 5, 10)
_DIMENSION, _GAP, _TITLE, _NOTES = 9.0, 12.0, 24.0, 78.0
"""From an outline to its dimension; between two views; height of the title field; width of the notes [mm]."""
_NOTE_LINE, _NOTE_GAP = 3.4, 1.0


class DoesNotFitSheet(ValueError):
    """Block and cheeks are too large for the sheet at the smallest scale."""


@dataclass(frozen=True)
class _Paper:
    """The support's sizes on the paper [mm], at 1 : scale."""

    support: Support
    scale: int
    tongue: float
    window_width: float

    def __call__(self, metres: float) -> float:
        return metres * 1e3 / self.scale

    @property
    def left(self) -> float:
        """Width of the left column: cheek and block from the end."""
        return max(self(self.support.cheek_width), self(self.support.width))

    @property
    def middle(self) -> float:
        """Width of the middle column: cheek from its edge, block from the side."""
        return max(self(self.support.cheek_thickness), self(self.support.length))

    @property
    def section(self) -> float:
        return self(self.support.length + 2 * self.support.cheek_thickness)

    @property
    def section_height(self) -> float:
        """Cheeks or the window's two ends, whichever are further apart."""
        return max(self(self.support.cheek_width), self(self.tongue + 2 * self.window_width))

    @property
    def fits(self) -> bool:
        right = max(self.section, _NOTES)
        wide = 3 * _EDGE + self.left + self.middle + right + 3 * (_DIMENSION + _GAP)
        views = self(self.support.cheek_depth + self.support.depth) + 2 * (_DIMENSION + _GAP) + 2 * _EDGE
        # Below the section stand the notes and the title field.
        right_high = self.section_height + 2 * _DIMENSION + 2 * _GAP + _notes_height(self.support) + _TITLE + _EDGE
        return wide <= _WIDTH and max(views, right_high) <= _HEIGHT


def support_drawing(support: Support, *, heading: str, date: str, window_width: float, tongue: float) -> str:
    """The drawing as SVG, to be printed at 100 % on A4 across.

    heading: whose block it is;  date as it shall stand there;  window_width, tongue of the lamination [m].
    The largest of the scales 1:1, 1:2, 1:5, 1:10 at which it fits.  Raises DoesNotFitSheet.
    """
    paper = next((one for one in (_Paper(support, scale, tongue, window_width) for scale in _SCALES) if one.fits), None)
    if paper is None:
        raise DoesNotFitSheet(
            f"cheeks of {_figure(support.cheek_width)} x {_figure(support.cheek_depth)} mm do not fit a sheet of A4 "
            f"at 1:{_SCALES[-1]}"
        )
    sheet = SvgSheet(_WIDTH, _HEIGHT, heading)
    sheet.box(5, 5, _WIDTH - 10, _HEIGHT - 10)
    x = 2 * _EDGE + _DIMENSION
    top = _EDGE + _DIMENSION + _GAP / 2
    below = top + paper(support.cheek_depth) + _DIMENSION + _GAP
    middle = x + paper.left + _DIMENSION + _GAP + _EDGE
    right = middle + paper.middle + _DIMENSION + _GAP
    _cheek(sheet, paper, x + paper.left / 2, top)
    _cheek_edge(sheet, paper, middle, top)
    _block_end(sheet, paper, x + paper.left / 2, below)
    _block_side(sheet, paper, middle, below)
    _section(sheet, paper, right, top)
    _notes(sheet, support, right, top + paper.section_height + _DIMENSION + _GAP)
    _title(sheet, paper.scale, heading, date)
    return sheet.text()


def _cheek(sheet: SvgSheet, paper: _Paper, x: float, top: float) -> None:
    s = paper.support
    half, high, slot = paper(s.cheek_width) / 2, paper(s.cheek_depth), paper(s.slot_width) / 2
    y, bottom = top + high / 2, paper(s.slot_bottom)
    sheet.words(x - half, top - _DIMENSION - 2.5, "cheek, two of them", bold=True)
    sheet.outline(
        [
            *[(x - half, top), (x - slot, top), (x - slot, y - bottom), (x + slot, y - bottom), (x + slot, top)],
            *[(x + half, top), (x + half, top + high), (x + slot, top + high), (x + slot, y + bottom)],
            *[(x - slot, y + bottom), (x - slot, top + high), (x - half, top + high)],
        ]
    )
    sheet.circle(x, y, paper(s.hole))
    sheet.cross(x, y, half + 2, paper(s.hole) / 2 + 3)
    sheet.across(x - half, x + half, top + high + _DIMENSION, top + high, _figure(s.cheek_width))
    sheet.along(top, top + high, x - half - _DIMENSION, x - half, _figure(s.cheek_depth))
    sheet.across(x - slot, x + slot, top - 4, top, _figure(s.slot_width))
    sheet.along(top, y - bottom, x + half + 4, x + half, _figure(s.slot_depth))
    _hole(sheet, paper, x, y, x + half)


def _cheek_edge(sheet: SvgSheet, paper: _Paper, x: float, top: float) -> None:
    s = paper.support
    thick, high, hole = paper(s.cheek_thickness), paper(s.cheek_depth), paper(s.hole) / 2
    y = top + high / 2
    sheet.box(x, top, thick, high)
    for place in (y - hole, y + hole):
        sheet.line(x, place, x + thick, place, "hidden")
    for place in (y - paper(s.slot_bottom), y + paper(s.slot_bottom)):
        sheet.line(x, place, x + thick, place, "hidden")
    sheet.line(x - 2, y, x + thick + 2, y, "centre")
    sheet.across(x, x + thick, top + high + _DIMENSION, top + high, _figure(s.cheek_thickness))


def _block_end(sheet: SvgSheet, paper: _Paper, x: float, top: float) -> None:
    s = paper.support
    half, high = paper(s.width) / 2, paper(s.depth)
    y = top + high / 2
    sheet.words(x - half, top - 2.5, "block", bold=True)
    sheet.box(x - half, top, 2 * half, high)
    sheet.circle(x, y, paper(s.hole))
    sheet.cross(x, y, half + 2, high / 2 + 2)
    sheet.across(x - half, x + half, top + high + _DIMENSION, top + high, _figure(s.width))
    sheet.along(top, top + high, x - half - _DIMENSION, x - half, _figure(s.depth))
    _hole(sheet, paper, x, y, x + half)


def _block_side(sheet: SvgSheet, paper: _Paper, x: float, top: float) -> None:
    s = paper.support
    long, high, hole = paper(s.length), paper(s.depth), paper(s.hole) / 2
    y = top + high / 2
    sheet.box(x, top, long, high)
    for place in (y - hole, y + hole):
        sheet.line(x, place, x + long, place, "hidden")
    sheet.line(x - 2, y, x + long + 2, y, "centre")
    sheet.across(x, x + long, top + high + _DIMENSION, top + high, _figure(s.length))


def _section(sheet: SvgSheet, paper: _Paper, x: float, top: float) -> None:
    """Everything on the spindle, cut along the leg through the tongue's width: there the slots are not met."""
    s = paper.support
    high, thick, long = paper(s.cheek_width), paper(s.cheek_thickness), paper(s.length)
    y, hole, wall = top + paper.section_height / 2, paper(s.hole) / 2, paper(s.former)
    leg, block, build = paper(paper.tongue) / 2, paper(s.width) / 2, paper(s.build)
    window = leg + paper(paper.window_width)
    first, last = x + thick, x + thick + long
    sheet.words(x, top - _DIMENSION - 2.5, "put together, cut along the leg", bold=True)
    for sign in (-1, 1):
        for left in (x, last):
            sheet.cut(left, min(y + sign * hole, y + sign * high / 2), thick, high / 2 - hole)
        sheet.cut(first, min(y + sign * hole, y + sign * block), long, block - hole)
        near, far = y + sign * (leg + wall), y + sign * (leg + build)
        sheet.outline(
            [(first + wall, near), (last - wall, near), (last - wall, far), (first + wall, far)], "thin", "#d9a066", 0.5
        )
        rim = y + sign * min(window, high / 2)
        for left in (first, last - wall):
            sheet.box(left, min(near, rim), wall, abs(rim - near), "thin", "#bbb")
        sheet.box(first, min(y + sign * leg, near), long, wall, "thin", "#bbb")
        sheet.line(first - thick - 3, y + sign * window, last + thick + 3, y + sign * window, "limit")
        sheet.line(x - 4, y + sign * hole, x + 2 * thick + long + 4, y + sign * hole, "thin")
    sheet.line(x - 6, y, x + 2 * thick + long + 6, y, "centre")
    foot = y + high / 2
    sheet.across(first, last, top + paper.section_height + _DIMENSION, foot, _figure(s.length))
    sheet.along(y - leg - build, y - leg, last + thick + 6, last + thick, _tenths(s.build))


def _notes(sheet: SvgSheet, support: Support, x: float, top: float) -> None:
    y = top
    for note in _note_lines(support):
        for line in note:
            sheet.words(x, y, line, size=2.5)
            y += _NOTE_LINE
        y += _NOTE_GAP


def _notes_height(support: Support) -> float:
    notes = _note_lines(support)
    return sum(len(note) for note in notes) * _NOTE_LINE + len(notes) * _NOTE_GAP


def _note_lines(support: Support) -> list[list[str]]:
    s = support
    notes = [
        f"Block: {_figure(s.clearance)} smaller than the former's inside, {_figure(s.inside_width)} x "
        f"{_figure(s.inside_depth)}. Hole for a spindle of {_figure(s.spindle)}.",
        f"Brown: the winding with its margins, {_tenths(s.build)} over the leg. Grey: the former. Dot and dash: "
        "where the window ends.",
        "The nuts press on the cheeks, the cheeks on flanges and block: shorten the block a little if the flanges "
        "rattle. A turn of paper round the block lets it out again.",
        "Print block and cheeks, never the former: a thermoplastic former creeps on a hot winding.",
        *(remark[0].upper() + remark[1:] + "." for remark in s.remarks),
    ]
    return [textwrap.wrap(note, width=52) for note in notes]


def _title(sheet: SvgSheet, scale: int, heading: str, date: str) -> None:
    x, y = _WIDTH - 5 - 105, _HEIGHT - 5 - _TITLE
    sheet.box(x, y, 105, _TITLE)
    for row, line in enumerate(textwrap.wrap(heading, width=46)[:2]):
        sheet.words(x + 3, y + 6 + row * 4.6, line, size=3.6, bold=True)
    sheet.words(x + 3, y + 15.2, f"support block and cheeks · 1:{scale} · millimetres · print at 100 %", size=2.8)
    sheet.across(x + 3, x + 53, y + 21, y + 20.5, "50: measure it on paper")
    sheet.words(x + 102, y + 21, date, size=2.8, anchor="end")


def _hole(sheet: SvgSheet, paper: _Paper, x: float, y: float, edge: float) -> None:
    """The figure of a hole, outside the outline whose edge lies at `edge`."""
    off = paper(paper.support.hole) / 2 * 0.7071
    away = edge + 3
    sheet.leader(x + off, y + off, away, y + off + 7, f"⌀{_figure(paper.support.hole)}")


def _tenths(metres: float) -> str:
    return f"{metres * 1e3:.1f}"


def _figure(metres: float) -> str:
    return f"{metres * 1e3:.2f}".rstrip("0").rstrip(".")
