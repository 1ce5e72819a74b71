"""Answers as they are typed about a stage of the work: counts of E's and I's, words of a list, quantities, bakes."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from bench.quantities import Dimension, QuantityError, parse, show

__all__ = [
    "MOST_LAMINATIONS",
    "Heat",
    "Laminations",
    "one_of",
    "quantity_between",
    "read_heat",
    "read_laminations",
    "words_of_a_person",
]

MOST_LAMINATIONS = 2000
"""Of one kind in a core; 0.35 mm of each make a stack of 700 mm."""

_EXAMPLE = "expected such as 96 (as many E's as I's), or 96 E 95 I"
_BOTH = re.compile(r"(\d+)(?: each)?")
_E_FIRST = re.compile(r"(\d+) ?(?:e(?:'?s)?)?(?: ?[/+&,;] ?| and | )?(\d+) ?(?:i(?:'?s)?)?")
_I_FIRST = re.compile(r"(\d+) ?i(?:'?s)?(?: ?[/+&,;] ?| and | )?(\d+) ?e(?:'?s)?")
_LETTER_FIRST = re.compile(r"e ?(\d+)(?: ?[/+&,;] ?| and | )?i ?(\d+)")


@dataclass(frozen=True)
class Laminations:
    """How many E's and how many I's."""

    e: int
    i: int

    def __str__(self) -> str:
        return f"{self.e} E {self.i} I"

    def __add__(self, other: Laminations) -> Laminations:
        return Laminations(self.e + other.e, self.i + other.i)

    @property
    def closed(self) -> int:
        """Layers of the core that have both."""
        return min(self.e, self.i)


def read_laminations(text: str) -> Laminations:
    """`96` for as many of each, `96 95`, `96 E 95 I`, `95 I 96 E`; raises ValueError in one line."""
    plain = " ".join(text.lower().replace("\u2019", "'").split())
    if re.search(r"\d[.,]\d", plain):
        raise ValueError(f"{_clip(text)} is no whole number, {_EXAMPLE}")
    if "-" in plain and re.search(r"-\s*\d", plain):
        raise ValueError(f"{_clip(text)} is less than none, {_EXAMPLE}")
    if (match := _BOTH.fullmatch(plain)) is not None:
        count = Laminations(_count(match[1], text), _count(match[1], text))
    elif (match := _LETTER_FIRST.fullmatch(plain) or _E_FIRST.fullmatch(plain)) is not None and _told_apart(plain):
        count = Laminations(_count(match[1], text), _count(match[2], text))
    elif (match := _I_FIRST.fullmatch(plain)) is not None:
        count = Laminations(_count(match[2], text), _count(match[1], text))
    elif (match := re.fullmatch(r"\d+ ?([ei])(?:'?s)?", plain)) is not None:
        other = "I" if match[1] == "e" else "E"
        raise ValueError(f"{_clip(text)} says nothing of the {other}'s, {_EXAMPLE}")
    else:
        raise ValueError(f"{_clip(text)} is no count of E's and I's, {_EXAMPLE}")
    return count


def _told_apart(plain: str) -> bool:
    """Without anything between them two numbers are one, and with an e alone a power of ten."""
    return re.fullmatch(r"\d+(?:e\d+)? ?i?", plain) is None or (plain.endswith("i") and "e" in plain)


def _count(digits: str, text: str) -> int:
    if len(digits) > len(str(MOST_LAMINATIONS)) or int(digits) > MOST_LAMINATIONS:
        raise ValueError(f"{_clip(text)}, expected at most {MOST_LAMINATIONS} of each")
    return int(digits)


def one_of(answers: Mapping[str, tuple[str, ...]]) -> Callable[[str], str]:
    """Reads one word of a list: by itself, by its beginning where no other begins so, or by another name for it."""

    def read(text: str) -> str:
        plain = "".join(text.lower().replace("\u00d7", "x").split())
        for word, others in answers.items():
            if plain in (_close(word), *map(_close, others)):
                return word
        begun = {word for word in answers if plain and _close(word).startswith(plain)}
        if len(begun) == 1:
            return begun.pop()
        *first, last = answers
        raise ValueError(f"{_clip(text)}: expected {', '.join(first)} or {last}")

    return read


def _close(word: str) -> str:
    return word.replace(" ", "")


def quantity_between(dimension: Dimension, least: str, most: str) -> Callable[[str], str]:
    """Reads a quantity within its limits, themselves written with units; kept as it was typed."""
    low, high = parse(least, dimension), parse(most, dimension)

    def read(text: str) -> str:
        try:
            value = parse(text, dimension)
        except QuantityError as problem:
            raise ValueError(str(problem)) from None
        if not low <= value <= high:
            raise ValueError(f"{_clip(text)}: expected from {least} to {most}")
        return " ".join(text.split())

    return read


def words_of_a_person(text: str, most: int = 200) -> str:
    """A name, a batch, a remark: one line that can be printed; raises ValueError."""
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    if not any(c.isalnum() for c in plain):
        raise ValueError(f"{_clip(text)} says nothing, expected words or a number")
    if len(plain) > most:
        raise ValueError(f"{len(plain)} characters, expected at most {most}")
    return plain


_COOLEST, _HOTTEST = 303.15, 523.15
_LONGEST = 14 * 24 * 3600.0
_HEAT_EXAMPLE = "expected such as 90 C 6 h"
_PART = re.compile(r"(\d+(?:[.,]\d+)?)\s*([^\W\d_]+|°\s?[CF])", re.IGNORECASE)
_BETWEEN = re.compile(r"(?:[\s,;/@]|for|at|and|of)*", re.IGNORECASE)
_HOURS = {"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "std": "h", "mins": "min", "minutes": "min"}
_DEGREES = {"c": "degC", "f": "degF", "°c": "degC", "°f": "degF", "degc": "degC", "degf": "degF"}


@dataclass(frozen=True)
class Heat:
    """Heat for a while: temperature [K] and time [s], None where it was not said."""

    temperature: float | None
    time: float | None

    def __str__(self) -> str:
        parts = []
        if self.temperature is not None:
            parts.append(f"{self.temperature - 273.15:.4g} °C")
        if self.time is not None:
            parts.append(f"{self.time / 3600:.4g} h" if self.time >= 3600 else f"{self.time / 60:.4g} min")
        return " ".join(parts)


def read_heat(text: str) -> Heat:
    """`90 C 6 h`, `105 °C, 4 h`, `6,5 h at 90 C`, `1 h 30 min`, or one of the two; raises ValueError in one line."""
    plain = " ".join(text.split())
    temperature: float | None = None
    time: float | None = None
    end = 0
    for match in _PART.finditer(plain):
        if _BETWEEN.fullmatch(plain[end : match.start()]) is None:
            break
        end = match.end()
        unit = match[2].replace(" ", "").lower()
        if unit in _DEGREES or unit == "k":
            if temperature is not None:
                raise ValueError(f"{_clip(text)} has two temperatures, {_HEAT_EXAMPLE}, and each step by itself")
            temperature = _quantity(match[1], "K" if unit == "k" else _DEGREES[unit], Dimension.TEMPERATURE, text)
        else:
            time = (time or 0.0) + _quantity(match[1], _HOURS.get(unit, match[2]), Dimension.TIME, text)
    if not end or _BETWEEN.fullmatch(plain[end:]) is None:
        raise ValueError(f"{_clip(text)} is no temperature with a time, {_HEAT_EXAMPLE}")
    if temperature is not None and not _COOLEST <= temperature <= _HOTTEST:
        limits = f"expected from {_COOLEST - 273.15:g} to {_HOTTEST - 273.15:g} °C"
        raise ValueError(f"{_clip(text)}: {show(temperature, 'K')}, {limits}")
    if time is not None and not 0 < time <= _LONGEST:
        raise ValueError(f"{_clip(text)}: expected more than no time, and at most {_LONGEST / 86400:g} days")
    return Heat(temperature, time)


def _quantity(number: str, unit: str, dimension: Dimension, text: str) -> float:
    try:
        return parse(f"{number} {unit}", dimension)
    except QuantityError:
        told = f"{_clip(text)}: {unit[:20]!r} is no unit of a temperature or a time"
        raise ValueError(f"{told}, {_HEAT_EXAMPLE}") from None


def _clip(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")
