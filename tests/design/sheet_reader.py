"""Reads a winding sheet's text back: its sections, their lines made whole again, and the numbers in a line."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest

from bench.design.plan import PlannedScreen, PlannedWinding, plan_of
from bench.design.sheet import sheet_of
from bench.design.sheet_text import sheet_text
from bench.job.model import Job
from bench.whole_test import rules_named

_NUMBER = r"[-+]?\d+(?:\.\d+)?"


@dataclass(frozen=True)
class Printed:
    """A number with what its last digit is worth."""

    value: float
    resolution: float

    def is_near(self, expected: float) -> bool:
        return abs(self.value - expected) <= 0.5001 * self.resolution + 1e-9 * abs(expected)


def text_of(job: Job) -> str:
    return sheet_text(sheet_of(plan_of(job), rules_named()))


def sections_of(job: Job) -> dict[str, list[str]]:
    return read_sections(text_of(job))


def heading(number: int, one: PlannedWinding | PlannedScreen) -> str:
    """Of a step."""
    if isinstance(one, PlannedWinding):
        return f"{number}  {one.name}: {one.winding.turns} turns, {one.winding.role}"
    return f"{number}  {one.screen.name} on {one.screen.after}"


def printed(text: str) -> Printed:
    _, _, decimals = text.partition(".")
    return Printed(float(text), 10.0 ** -len(decimals))


def read_sections(text: str) -> dict[str, list[str]]:
    """Heading -> lines, those that were broken joined again; a row of a table stays as it is."""
    lines = text.splitlines()
    found: dict[str, list[str]] = {"": []}
    heading = ""
    for number, line in enumerate(lines):
        if number + 1 < len(lines) and line and set(lines[number + 1]) == {"-"}:
            heading = line
            found[heading] = []
        elif set(line) == {"-"} or not line:
            continue
        else:
            found[heading].append(line)
    return {heading: _whole(part) for heading, part in found.items()}


def _whole(lines: list[str]) -> list[str]:
    """A further line of a paragraph begins further in than a box or a label does, and has no gap of a table."""
    joined: list[str] = []
    for line in lines:
        stripped = line.strip()
        further = len(line) - len(line.lstrip()) > 4 and "  " not in stripped and not stripped.startswith("[ ]")
        if further and joined:
            joined[-1] += " " + stripped
        else:
            joined.append(stripped)
    return joined


def cells(line: str) -> list[str]:
    """Of a table's row, its box left out."""
    return re.split(r"\s{2,}", line.removeprefix("[ ]").strip())


def agrees(template: str, line: str, *expected: float) -> bool:
    """Whether `line` is the template, `#` for a number and `*` for words; the numbers must then be those expected."""
    pattern = "".join(
        f"({_NUMBER})" if part == "#" else r"[^\d]*?" if part == "*" else re.escape(part)
        for part in re.split(r"([#*])", template)
    )
    match = re.fullmatch(pattern, line)
    if match is None:
        return False
    found = [printed(text) for text in match.groups()]
    assert len(found) == len(expected), (template, line)
    for one, wanted in zip(found, expected, strict=True):
        assert one.is_near(wanted), f"{line!r}: {one.value} printed, {wanted:.6g} expected"
    return True


def rows_under(lines: list[str], first_head: str) -> list[list[str]]:
    """Rows of the table whose heads begin with `first_head`; ends where the number of cells changes."""
    start = next((n for n, line in enumerate(lines) if line.startswith(first_head)), None)
    if start is None:
        pytest.fail(f"no table headed {first_head!r}")
    wide = len(cells(lines[start]))
    rows = []
    for line in lines[start + 1 :]:
        row = cells(line)
        if len(row) != wide:
            break
        rows.append(row)
    return rows
