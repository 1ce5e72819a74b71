"""Takes what is expected out of a TOML table, and remembers all that is wrong with it."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from enum import StrEnum
from typing import TypeVar

from drivers.line_pattern import LinePattern, PatternError, line_pattern, matches_nothing

__all__ = ["StrictTable"]

_Choice = TypeVar("_Choice", bound=StrEnum)


class StrictTable:
    """One table of a file. Every getter without a default reports a missing key; `finish` the unknown ones.

    Problems go into the shared list `problems`, each one line with file and key; a getter that reported
    one returns a harmless value of its type, so that reading goes on and all problems come at once.
    """

    def __init__(self, data: Mapping[str, object], where: str, problems: list[str], path: str = "") -> None:
        self._data = data
        self._where = where
        self._problems = problems
        self._path = path
        self._asked: list[str] = []
        self._looked_for: list[str] = []

    def has(self, key: str) -> bool:
        self._looked_for.append(key)
        return key in self._data

    def text(self, key: str, default: str | None = None) -> str:
        value = self._take(key, default, "a text in quotes")
        return value if isinstance(value, str) else self._wrong(key, value, "a text in quotes", "")

    def number(self, key: str, default: float | None = None, *, least: float = 0.0, most: float = math.inf) -> float:
        wanted = f"a number from {least:g} to {most:g}" if math.isfinite(most) else f"a number of {least:g} or more"
        value = self._take(key, default, wanted)
        is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
        if isinstance(value, (int, float)) and is_number and math.isfinite(value) and least <= value <= most:
            return float(value)
        return self._wrong(key, value, wanted, max(least, 1.0))

    def integer(self, key: str, default: int | None = None, *, least: int = 0, most: int = 10**9) -> int:
        wanted = f"a whole number from {least} to {most}"
        value = self._take(key, default, wanted)
        if isinstance(value, int) and not isinstance(value, bool) and least <= value <= most:
            return value
        return self._wrong(key, value, wanted, max(least, 1))

    def flag(self, key: str, default: bool | None = None) -> bool:
        value = self._take(key, default, "true or false")
        return value if isinstance(value, bool) else self._wrong(key, value, "true or false", False)

    def choice(self, key: str, kind: type[_Choice], default: _Choice | None = None) -> _Choice:
        wanted = "one of " + ", ".join(kind)
        value = self._take(key, default, wanted)
        try:
            return kind(str(value))
        except ValueError:
            return self._wrong(key, value, wanted, next(iter(kind)))

    def texts(self, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        wanted = "a list of texts in quotes"
        value = self._take(key, default, wanted)
        if isinstance(value, (list, tuple)) and all(isinstance(each, str) for each in value):
            return tuple(value)
        return self._wrong(key, value, wanted, ())

    def one_or_more_texts(self, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """A text, or a list of texts."""
        wanted = "a text in quotes or a list of them"
        value = self._take(key, default, wanted)
        if isinstance(value, str):
            return (value,)
        if isinstance(value, (list, tuple)) and all(isinstance(each, str) for each in value):
            return tuple(value)
        return self._wrong(key, value, wanted, ())

    def one_or_more_patterns(self, key: str, default: tuple[str, ...] | None = None) -> tuple[LinePattern, ...]:
        """A regular expression, or a list of them."""
        found: list[LinePattern] = []
        for text in self.one_or_more_texts(key, default):
            try:
                found.append(line_pattern(text))
            except PatternError as error:
                found.append(self._wrong(key, text, f"a regular expression in quotes ({error})", matches_nothing()))
        return tuple(found)

    def numbers(self, key: str, default: tuple[float, ...] | None = None) -> tuple[float, ...]:
        wanted = "a list of numbers"
        value = self._take(key, default, wanted)
        if isinstance(value, (list, tuple)) and all(
            isinstance(each, (int, float)) and not isinstance(each, bool) for each in value
        ):
            return tuple(float(each) for each in value)
        return self._wrong(key, value, wanted, ())

    def pattern(self, key: str, default: str | None = None, *, groups: tuple[str, ...] = ()) -> LinePattern:
        """A regular expression that holds the named `groups`."""
        wanted = "a regular expression in quotes"
        value = self._take(key, default, wanted)
        if not isinstance(value, str):
            return self._wrong(key, value, wanted, matches_nothing())
        try:
            compiled = line_pattern(value)
        except PatternError as error:
            return self._wrong(key, value, f"{wanted} ({error})", matches_nothing())
        if any(group not in compiled.groupindex for group in groups):
            return self._wrong(key, value, f"{wanted} with the group {', '.join(groups)}", matches_nothing())
        return compiled

    def table(self, key: str) -> StrictTable:
        """A table inside this one; an empty one stands for one that is missing."""
        value = self._take(key, {}, "a table")
        if not isinstance(value, Mapping):
            value = self._wrong(key, value, "a table", {})
        return StrictTable(value, self._where, self._problems, self._name(key) + ".")

    def tables(self, key: str) -> tuple[StrictTable, ...]:
        """A list of tables; at least one is expected."""
        wanted = "a list of at least one table"
        value = self._take(key, None, wanted)
        if not (isinstance(value, list) and value and all(isinstance(each, Mapping) for each in value)):
            value = self._wrong(key, value, wanted, [])
        return tuple(
            StrictTable(each, self._where, self._problems, f"{self._name(key)}[{number}].")
            for number, each in enumerate(value, start=1)
        )

    def keys(self) -> tuple[str, ...]:
        return tuple(self._data)

    def report(self, key: str, what: str) -> None:
        """A problem that only the caller understands."""
        self._problems.append(f"{self._where}: {self._name(key)}: {what}")

    def finish(self) -> None:
        """Report the keys that nobody asked for, with those that might have been meant: also the ones that may be left
        out."""
        expected = sorted({*self._asked, *self._looked_for})
        for key in self._data:
            if key not in self._asked:
                near = difflib.get_close_matches(key, [each for each in expected if each != key], n=1)
                hint = f"; did you mean {near[0]}?" if near else ""
                known = "" if near else f", expected one of {', '.join(expected)}"
                self._problems.append(f"{self._where}: {self._name(key)}: unknown key{known}{hint}")

    def _take(self, key: str, default: object, wanted: str) -> object:
        self._asked.append(key)
        if key in self._data:
            return self._data[key]
        if default is None:
            self._problems.append(f"{self._where}: {self._name(key)}: missing, expected {wanted}")
            return _MISSING
        return default

    def _wrong(self, key: str, value: object, wanted: str, instead: _T) -> _T:
        if value is not _MISSING:
            self._problems.append(f"{self._where}: {self._name(key)}: {value!r}, expected {wanted}")
        return instead

    def _name(self, key: str) -> str:
        return self._path + (key if key.isprintable() else repr(key))


_T = TypeVar("_T")
_MISSING = object()
