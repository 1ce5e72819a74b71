"""A value as a person typed it, with its unit: taken, or one line that says why not."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter, ValidationError

from bench.quantities import Typed

__all__ = ["TypedValue", "is_overload", "typed_value"]

_OVERLOAD = ("ol", "o.l", "0l", "overload", "over", "open")
_BARE = re.compile(r"\d+(?:[.,]\d*)?|[.,]\d+")


@dataclass(frozen=True)
class TypedValue:
    """text: as it is kept;  value: SI, None for no quantity;  unit_presumed: it was not typed."""

    text: str
    value: float | None
    unit_presumed: bool


def typed_value(text: str, field: Any, bare: str = "") -> TypedValue:
    """What `field` takes; raises ValueError with what was typed and what was expected.

    bare: the unit in which a number without one is taken; without it none is.
    """
    number = bool(bare and _BARE.fullmatch(text))
    try:
        value = TypeAdapter(field).validate_python(f"{text} {bare}" if number else text)
    except ValidationError as problem:
        raise ValueError(_reason(problem, text)) from None
    kept = f"{text.replace(',', '.')} {bare}" if number else text
    plain = value.value if isinstance(value, Typed) else value if isinstance(value, float) else None
    return TypedValue(kept, plain, number)


def is_overload(text: str) -> bool:
    """Whether a meter's overload was typed."""
    return text.lower() in _OVERLOAD


def _reason(problem: ValidationError, text: str) -> str:
    """One line: what was typed, what was expected."""
    first = problem.errors()[0]
    context = first.get("ctx", {})
    if first["type"] == "value_error":
        words = str(context["error"])
        comma = "has no unit" in words and "," in text
        return f"{words} (the comma is read as a decimal point)" if comma else words
    if first["type"].startswith("string"):
        return f"{text[:40]!r} is no name, expected letters, digits, - and _, a letter first, at most 24"
    limit = next((f"{words} {context[key]:g}" for key, words in _LIMITS if key in context), first["msg"])
    return f"{text[:40]!r}: expected {limit}"


_LIMITS = (("gt", "more than"), ("ge", "at least"), ("le", "at most"), ("lt", "less than"))
