"""Values that the operator types: parsed at the edge, asked again when they can't be read."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.requests import Enter, Request, Trouble
from bench.quantities import Dimension, QuantityError, Typed, parse_typed, show

__all__ = ["GOOD_WORDS", "entered", "noticed", "span_text"]

_ATTEMPTS = 5

GOOD_WORDS = ("good", "fine", "ok", "none", "nothing", "no")
"""Answers by which nothing was noticed; anything else is taken as what was."""


def entered(
    request: Enter, dimension: Dimension, lowest: float = 0.0, highest: float = math.inf
) -> Generator[Request, Any, tuple[Typed, str]]:
    """The value typed for a request, SI, with the text; asks again with what was expected, at most five times.

    lowest, highest [SI]: the value lies above the one and not above the other.

    A leading `>` says "more than": the tester's top of range is taken as the value.
    """
    asking = request
    for _ in range(_ATTEMPTS):
        text = yield asking
        try:
            typed = parse_typed(_as_unit(str(text), request.unit), dimension)
        except QuantityError as error:
            asking = replace(request, text=f"{error}. {request.text}")
            continue
        if lowest < typed.value <= highest:
            return typed, str(text)
        expected = f"more than {show(lowest, dimension.si)}" if lowest else "more than zero"
        if highest < math.inf:
            expected += f", at most {show(highest, dimension.si)}"
        asking = replace(request, text=f"{str(text)[:40]!r}: expected {expected}. {request.text}")
    raise Trouble(f"{request.step}: no readable value in {_ATTEMPTS} attempts")


def noticed(request: Enter) -> Generator[Request, Any, str]:
    """What was noticed, in the operator's own words; empty where nothing was."""
    text = str((yield request)).strip()
    return "" if text.lower().rstrip(".!") in GOOD_WORDS else text[:200]


def span_text(seconds: float) -> str:
    """A span of time as a person says it: `30 min`, `15 s`."""
    return f"{seconds:g} s" if seconds < 120 else f"{seconds / 60:g} min"


def _as_unit(text: str, unit: str) -> str:
    """A bare number is taken in the unit that the prompt names."""
    bare = text.strip().lstrip(">").strip()
    try:
        float(bare.replace(",", "."))
    except ValueError:
        return bare
    return f"{bare} {unit}"
