"""The steps of a result as rows of a table, with the grounds of their limits numbered below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bench.acceptance.report import doubt_text, value_text

__all__ = ["Reading", "Readings", "readings_of"]


@dataclass(frozen=True)
class Reading:
    """One row, in words.  at: volts that were on;  ground: number of its limit's ground, 0 for none."""

    label: str
    designed: str
    measured: str
    doubt: str
    deviation: str
    limit: str
    at: str
    ground: int
    verdict: str
    note: str


@dataclass(frozen=True)
class Readings:
    """rows: what has a value or a limit, or is not well;  looks: what was looked at and found well;  grounds: of the
    limits, in the order of their numbers."""

    rows: tuple[Reading, ...]
    looks: tuple[str, ...]
    grounds: tuple[str, ...]


def readings_of(steps: Sequence[dict[str, Any]]) -> Readings:
    """Each step once."""
    grounds: list[str] = []
    for step in steps:
        if step["basis"] and step["basis"] not in grounds:
            grounds.append(step["basis"])
    looked = [step for step in steps if _only_looked_at(step)]
    rows = tuple(_row(step, grounds) for step in steps if step not in looked)
    return Readings(rows, tuple(str(step["label"]) for step in looked), tuple(grounds))


def _only_looked_at(step: dict[str, Any]) -> bool:
    return step["quantity"] == "look" and step["verdict"] == "accepted" and not step["basis"]


def _row(step: dict[str, Any], grounds: list[str]) -> Reading:
    measured, unit = step["measured"], step["unit"]
    return Reading(
        label=str(step["label"]),
        designed="" if step["expected"] is None else value_text(step["expected"], unit),
        measured=str(step["state"]) if measured is None else value_text(measured, unit),
        doubt="" if measured is None or not step["uncertainty"] else doubt_text(step["uncertainty"], unit),
        deviation=_deviation(step),
        limit=_limit(step),
        at="" if step.get("at_volts") is None else value_text(step["at_volts"], "V"),
        ground=grounds.index(step["basis"]) + 1 if step["basis"] else 0,
        verdict=str(step["verdict"]),
        note=str(step["note"] or ""),
    )


def _deviation(step: dict[str, Any]) -> str:
    """None where its own doubt is as large as what is designed."""
    measured, expected = step["measured"], step["expected"]
    if measured is None or not expected or step["uncertainty"] >= abs(expected):
        return ""
    return f"{(measured / expected - 1) * 100:+.2f} %"


def _limit(step: dict[str, Any]) -> str:
    lower, upper = (None if step[key] is None else value_text(step[key], step["unit"]) for key in ("lower", "upper"))
    if lower is not None and upper is not None:
        return f"{lower} to {upper}"
    if upper is not None:
        return f"up to {upper}"
    return "" if lower is None else f"from {lower}"
