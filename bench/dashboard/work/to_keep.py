"""What a person gave to be kept, with words for it: where it could not be, it is named whole and can be typed again."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

__all__ = ["ToKeep", "not_kept", "say_after_the_end"]


@dataclass(frozen=True)
class ToKeep:
    """words: what it is, with all of its text;  keep: does it."""

    words: str
    keep: Callable[[], Any]

    def __call__(self) -> Any:
        return self.keep()


def not_kept(words: str, problem: str) -> str:
    """The line for the person."""
    return f"not kept: {words}: {problem}"


def say_after_the_end(line: str) -> None:
    """Where no window is left to say it."""
    if sys.stderr is not None:
        sys.stderr.write(f"turnproof: {line}\n")
        sys.stderr.flush()
