"""Measured against designed on one scale for all: the limits of every step lie at -1 and +1."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.acceptance.context import PlannedStep
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.report import value_text
from bench.acceptance.result import StepResult

__all__ = [
    "Cell",
    "Column",
    "Group",
    "Place",
    "Row",
    "cell_text",
    "groups_of",
    "nearest_to_a_limit",
    "place_of",
    "rows_of",
]


class Column(StrEnum):
    """What is compared winding by winding; the value is the first part of a step's id."""

    RESISTANCE = "resistance"
    RATIO = "ratio"
    OPEN_CIRCUIT = "open_circuit"

    @property
    def heading(self) -> str:
        return _TITLES[self]

    @property
    def short(self) -> str:
        """Where there is little room."""
        return _SHORT[self]


_TITLES = {
    Column.RESISTANCE: "resistance, 20 °C",
    Column.RATIO: "turns by ratio",
    Column.OPEN_CIRCUIT: "open-circuit volts",
}
_SHORT = {Column.RESISTANCE: "ohms, %", Column.RATIO: "turns, %", Column.OPEN_CIRCUIT: "volts, %"}


@dataclass(frozen=True)
class Place:
    """Where a reading lies between its limits: at, and half-width of its whisker (U, k = 2), both with limits at ±1."""

    at: float
    whisker: float
    lower: bool
    upper: bool


@dataclass(frozen=True)
class Cell:
    """A step of the plan in the table; result None until it is done."""

    id: str
    result: StepResult | None


@dataclass(frozen=True)
class Row:
    """A winding or a section of one, with its cells by column; a column that is not planned has none, and `blank`
    says why."""

    name: str
    cells: dict[Column, Cell]
    blank: str = ""


@dataclass(frozen=True)
class Group:
    """Steps of one kind in the order of the test."""

    name: str
    cells: tuple[Cell, ...]


def place_of(result: StepResult) -> Place | None:
    """Place of a result between its limits, None where it has no number or nothing to measure the distance by.

    With two limits the middle of them is 0; with one, the designed value is.
    """
    value, lower, upper = result.measured, result.lower, result.upper
    if value is None:
        return None
    if lower is not None and upper is not None:
        middle, half = (lower + upper) / 2, (upper - lower) / 2
    elif upper is not None and result.expected is not None:
        middle, half = result.expected, upper - result.expected
    elif lower is not None and result.expected is not None:
        middle, half = result.expected, result.expected - lower
    else:
        return None
    if half <= 0:
        return None
    return Place((value - middle) / half, COVERAGE * result.u / half, lower is not None, upper is not None)


def rows_of(plan: tuple[PlannedStep, ...], results: tuple[StepResult, ...]) -> tuple[Row, ...]:
    """What is compared winding by winding, in the order of the plan; a winding stands above its sections."""
    done = {result.id: result for result in results}
    rows: dict[str, dict[Column, Cell]] = {}
    for step in plan:
        kind, _, name = step.id.partition(":")
        if name and kind in set(Column):
            rows.setdefault(name, {})[Column(kind)] = Cell(step.id, done.get(step.id))
    windings = list(dict.fromkeys(name.partition(".")[0] for name in rows))
    ordered = sorted(rows, key=lambda name: (windings.index(name.partition(".")[0]), "." in name))
    return tuple(Row(name, rows[name], _blank(name, rows)) for name in ordered)


def _blank(name: str, rows: dict[str, dict[Column, Cell]]) -> str:
    """Why a winding has no cell in a column."""
    if any(other.startswith(f"{name}.") for other in rows):
        return "by its sections"
    return "feeds the others" if Column.RATIO not in rows[name] else ""


def groups_of(plan: tuple[PlannedStep, ...], results: tuple[StepResult, ...]) -> tuple[Group, ...]:
    """All steps by kind; a result that was not planned, such as trouble of an instrument, closes the line."""
    done = {result.id: result for result in results}
    planned = {step.id for step in plan}
    ids = [step.id for step in plan] + [result.id for result in results if result.id not in planned]
    groups: dict[str, list[Cell]] = {}
    for each in ids:
        groups.setdefault(each.partition(":")[0], []).append(Cell(each, done.get(each)))
    return tuple(Group(name.replace("_", " "), tuple(cells)) for name, cells in groups.items())


def cell_text(result: StepResult) -> tuple[str, str]:
    """(the measured value, its deviation from the design), as short as a cell needs them."""
    if result.measured is None:
        return (result.state, "")
    value = value_text(result.measured, result.unit).replace("ohm", "Ω").removesuffix(" t")
    return (value, _deviation_text(result.measured / result.expected - 1) if result.expected else "")


def _deviation_text(deviation: float) -> str:
    """Percent with as many figures as help; never a minus before a zero."""
    percent = deviation * 100
    text = f"{percent:+.1f} %" if abs(percent) >= 1 else f"{percent:+.2f} %"
    return "0.00 %" if text[1:] == "0.00 %" else text


def nearest_to_a_limit(results: tuple[StepResult, ...]) -> tuple[StepResult, float] | None:
    """The accepted step that used most of the way to a limit, with that share of the way."""
    placed = [(result, place_of(result)) for result in results if result.verdict is Verdict.ACCEPTED]
    used = [(result, _used(place)) for result, place in placed if place is not None]
    return max(used, key=lambda each: each[1], default=None)


def _used(place: Place) -> float:
    return max(place.at if place.upper else 0.0, -place.at if place.lower else 0.0) + place.whisker
