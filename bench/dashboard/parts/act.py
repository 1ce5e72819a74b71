"""What a person can do just now: a key, what it does in words, and the doing; some ask for a line or two first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["Act", "Question"]


@dataclass(frozen=True)
class Question:
    """asks: what is to be typed, line by line;  answered: given all lines; what is wrong with them, empty where they
    were taken;  choices: offered for the first line;  check: what is wrong with the first line, empty where nothing is,
    so that a slip in it is told before the others are asked."""

    asks: tuple[str, ...]
    answered: Callable[[tuple[str, ...]], str]
    choices: tuple[str, ...] = ()
    check: Callable[[str], str] | None = None


@dataclass(frozen=True)
class Act:
    """key: as Qt names it (`Space`, `S`, `Ctrl+N`);  words: what it does, a few;  does: at once, or a question that is
    put first;  strong: to be done next;  large: shown larger than the others;  also: keys that mean the same."""

    key: str
    words: str
    does: Callable[[], object] | Question
    strong: bool = False
    large: bool = False
    also: tuple[str, ...] = ()
