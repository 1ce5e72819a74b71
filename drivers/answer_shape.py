"""How a reading is written: list, unit, decimal comma, over-range sign; bytes in, values out, no I/O."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from drivers.line_pattern import LinePattern
from drivers.scpi import (
    Answer,
    AnswerForms,
    Damaged,
    ErrorText,
    NoValue,
    Overload,
    Value,
    classify,
    judge_number,
    parse_error,
    parse_number,
    unreadable,
)

__all__ = ["AnswerShape", "classify_reading"]


@dataclass(frozen=True, slots=True)
class AnswerShape:
    """What stands around the number of a reading.

    number: matched in full, its group `value` is the number; None: the bare number, blanks before it allowed.
    decimal_comma: `6,30`. over_range_prefix: a sign before the number that says over range. separator: of a list of
    `count` elements, of which the one with the number `element`, from 1, is the reading; empty: no list.
    other_elements: what the others look like; None: numbers.
    """

    number: LinePattern | None = None
    decimal_comma: bool = False
    over_range_prefix: str = ""
    separator: str = ""
    element: int = 1
    count: int = 1
    other_elements: LinePattern | None = None

    @property
    def plain(self) -> bool:
        """A bare number stands alone on the line."""
        return self.number is None and not (self.decimal_comma or self.over_range_prefix or self.separator)

    def reading_in(self, text: str) -> str | None:
        """The element that holds the reading; None for a list of another length or with strange elements."""
        if not self.separator:
            return text
        elements = text.split(self.separator)
        if len(elements) != self.count:
            return None
        reading = elements.pop(self.element - 1)
        if all(self._is_other(each.strip(" ")) for each in elements):
            return reading
        return None

    def number_in(self, text: str) -> float | None:
        """The number that `text` is, in full; None for anything else."""
        if self.number is not None:
            match = self.number.fullmatch(text)
            if match is None:
                return None
            text = match["value"] or ""
        if self.decimal_comma:
            if "." in text:
                return None
            text = text.replace(",", ".")
        return parse_number(text)

    def _is_other(self, text: str) -> bool:
        if self.other_elements is not None:
            return self.other_elements.fullmatch(text) is not None
        return self.number_in(text) is not None


def classify_reading(line: bytes, forms: AnswerForms, shape: AnswerShape, units: Mapping[str, float]) -> Answer:
    """What one line in the place of a reading says, SI.

    units: the texts that may follow the number, with the factor to SI of each; where there are any, one is due.
    """
    if not units and shape.plain:
        return classify(line, forms)
    trouble = unreadable(line)
    if trouble is not None:
        return Damaged(trouble, frame=True)
    text = line.decode("ascii")
    picked = shape.reading_in(text)
    if picked is None:
        return _no_reading(line, f"expected a list of {shape.count}")
    if picked.strip() in forms.overload_words:
        return Overload()
    if picked.strip() in forms.no_value_words:
        return NoValue()
    unit = _unit_of(picked, units)
    if units and unit is None:
        return _no_reading(line, f"expected a number in {' or '.join(units)}; is the meter on this function?")
    written = picked if unit is None else picked.rstrip(" ")[: -len(unit)].rstrip(" ")
    if written.strip() in forms.overload_words:
        return Overload()
    if written.strip() in forms.no_value_words:
        return NoValue()
    if shape.over_range_prefix and written.lstrip(" ").startswith(shape.over_range_prefix):
        bound = written.lstrip(" ").removeprefix(shape.over_range_prefix)
        return Overload() if shape.number_in(bound) is not None else _no_reading(line, "expected a number")
    value = shape.number_in(written)
    if value is None:
        return _no_reading(line, "expected a number")
    judged = judge_number(value, forms)
    if isinstance(judged, Value) and unit is not None:
        return Value(judged.value * units[unit])
    return judged


def _unit_of(text: str, units: Mapping[str, float]) -> str | None:
    """The longest of the units that ends the text."""
    ending = [unit for unit in units if text.rstrip(" ").endswith(unit)]
    return max(ending, key=len, default=None)


def _no_reading(line: bytes, why: str) -> Answer:
    error = parse_error(line)
    if error is not None:
        return ErrorText(error.code, error.text)
    return Damaged(f"{line.decode('ascii')[:60]!r} is no reading, {why}")
