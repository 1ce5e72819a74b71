"""Whether somebody gave a reason, or typed something else where one was asked for."""

from __future__ import annotations

from bench.quantities import Dimension, QuantityError, parse

__all__ = ["LEAST_LETTERS", "is_reason"]

LEAST_LETTERS = 3


def is_reason(text: str) -> bool:
    """Whether it is said in words: not a mumble, and not a reading that was typed too early."""
    return sum(one.isalpha() for one in text) >= LEAST_LETTERS and not _is_reading(text)


def _is_reading(text: str) -> bool:
    """Whether it is a quantity of some kind, such as `0.100 kV` or `85 megaohm`."""
    for dimension in Dimension:
        try:
            parse(text, dimension)
        except QuantityError:
            continue
        return True
    return False
