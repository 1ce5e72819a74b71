"""Readings that a unit should give, as lines for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bench.design.worth_knowing import WorthKnowing
    from bench.job.expected_reading import Foreseen

__all__ = ["hint_lines", "reading_lines"]


def reading_lines(rows: Sequence[Foreseen]) -> list[str]:
    """One line for each reading under the quantity it is of; values as `15.8 ± 1.0 ohm`, with k = 2."""
    lines: list[str] = []
    heading = None
    wide = max((len(_what(one)) for one in rows), default=0)
    for one in sorted(rows, key=lambda row: _order(rows, row)):
        if one.kind is not heading:
            heading = one.kind
            lines.append(f"  {one.kind}")
        lines.append(f"    {_what(one):<{wide}}  {_value(one)}")
    return lines


def hint_lines(hints: Sequence[WorthKnowing]) -> list[str]:
    """One line for each hint with the number of what it stands on; those notes follow, each once."""
    from bench.quantities import show

    notes = list(dict.fromkeys(one.hint.basis for one in hints))
    lines = []
    for one in hints:
        hint = one.hint
        value = f"{hint.value * 100:.0f} %" if hint.unit == "1" else show(hint.value, hint.unit, 3) if hint.unit else ""
        what = f"{one.of}, {hint.what}" if one.of else hint.what
        lines.append(f"    {what}{': ' if value else ''}{value} [{notes.index(hint.basis) + 1}]")
    return lines + [f"    [{number}] {note}" for number, note in enumerate(notes, start=1)]


def _order(rows: Sequence[Foreseen], row: Foreseen) -> tuple[int, int]:
    kinds = list(dict.fromkeys(one.kind for one in rows))
    return kinds.index(row.kind), list(rows).index(row)


def _what(one: Foreseen) -> str:
    return f"{one.of} at {one.at}" if one.at else one.of


def _value(one: Foreseen) -> str:
    """Both numbers in one unit and with as many places as the doubt is worth."""
    factor, unit = _scale(one)
    value, doubt = one.value * factor, 2 * one.u * factor
    places = 4 if doubt <= 0 else _places(doubt)
    if doubt <= 0:
        return f"{value:.4g} {unit}".rstrip()
    return f"{value:.{places}f} ± {doubt:.{places}f} {unit}".rstrip()


def _places(doubt: float) -> int:
    """Two digits of the doubt, none before the point: 0.0131 has four places, 13.1 has none."""
    import math

    return min(6, max(0, 1 - math.floor(math.log10(doubt))))


def _scale(one: Foreseen) -> tuple[float, str]:
    from bench.job.expected_reading import Kind

    if one.kind is Kind.EFFICIENCY:
        return 100.0, "%"
    if one.unit == "1":
        return 1.0, ""
    if one.unit in ("A", "ohm") and one.value < 1:
        return 1e3, f"m{one.unit}"
    return 1.0, one.unit
