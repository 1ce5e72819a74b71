"""Values that the operator types: parsed at the edge, asked again when they can't be read."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.requests import Enter, Request, Trouble
from bench.quantities import Dimension, QuantityError, Typed, parse_typed

__all__ = ["entered"]

_ATTEMPTS = 5


def entered(request: Enter, dimension: Dimension) -> Generator[Request, Any, tuple[Typed, str]]:
    """The value typed for a request, SI, with the text; asks again with what was expected, at most five times.

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
        if typed.value > 0 or dimension is Dimension.TEMPERATURE:
            return typed, str(text)
        asking = replace(request, text=f"{text!r} is not more than zero. {request.text}")
    raise Trouble(f"{request.step}: no readable value in {_ATTEMPTS} attempts")


def _as_unit(text: str, unit: str) -> str:
    """A bare number is taken in the unit that the prompt names."""
    bare = text.strip().lstrip(">").strip()
    try:
        float(bare.replace(",", "."))
    except ValueError:
        return bare
    return f"{bare} {unit}"
