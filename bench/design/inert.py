"""What a person typed, as it may stand on paper: no sign that turns a line round, and never too long."""

from __future__ import annotations

import re
from typing import Any

__all__ = ["LONGEST", "Exact", "inert", "plain"]

LONGEST = 700
"""Characters of one text on paper; record and job file hold all of it."""
_LONGEST_WORD = 32
"""A longer one may be broken, or it would run over what stands beside it."""
_JOINERS = "\u200c\u200d"
"""Which Persian and the scripts of India need within a word; every other sign of its kind is left out."""
_BREAK = "\u200b"
_LONG = re.compile(rf"\S{{{_LONGEST_WORD + 1},}}")


class Exact(str):
    """Our own, sign by sign: a drawing, a hash."""


def plain(text: str) -> str:
    """Without bells and marks that turn a line round, blanks made one, cut where it is too long."""
    shown = "".join(c if c.isprintable() or c in _JOINERS else " " if c.isspace() else "" for c in text)
    words = " ".join(shown.split())
    if len(words) > LONGEST:
        words = f"{words[:LONGEST].rstrip()} … (cut short here)"
    return _LONG.sub(lambda match: _broken(match.group()), words)


def inert(value: Any) -> Any:
    """The same with every text in it made plain, but what is exact."""
    if isinstance(value, Exact):
        return value
    if isinstance(value, str):
        return plain(value)
    if isinstance(value, dict):
        return {key: inert(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [inert(one) for one in value]
    return value


def _broken(word: str) -> str:
    return _BREAK.join(word[start : start + _LONGEST_WORD] for start in range(0, len(word), _LONGEST_WORD))
