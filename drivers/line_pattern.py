"""Patterns that a profile describes a line by: the time for a match grows with the line only, whatever the pattern."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

import re2

__all__ = ["LineMatch", "LinePattern", "PatternError", "line_pattern", "matches_nothing"]


class LineMatch(Protocol):
    """What a pattern found, by the name of its group; None for a group that took no part."""

    def __getitem__(self, group: str) -> str | None: ...


class LinePattern(Protocol):
    """A pattern that is matched against a whole line."""

    @property
    def pattern(self) -> str: ...

    @property
    def groupindex(self) -> Mapping[str, int]: ...

    def fullmatch(self, text: str) -> LineMatch | None: ...


class PatternError(ValueError):
    """The text is no pattern; says why."""


def line_pattern(text: str) -> LinePattern:
    """A pattern in the syntax of RE2: the usual one without look-around and references back, which need more than
    linear time.  Raises PatternError."""
    options = re2.Options()
    options.log_errors = False
    options.never_nl = False
    try:
        compiled: LinePattern = re2.compile(text, options)
    except re2.error as error:
        said = error.args[0] if error.args else error
        raise PatternError(said.decode("utf-8", "replace") if isinstance(said, bytes) else str(said)) from None
    return compiled


def matches_nothing() -> LinePattern:
    """A pattern that no line fits."""
    return line_pattern(r"[^\x00-\x{10FFFF}]")
