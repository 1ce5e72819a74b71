"""The part of JSON Schema (draft 2020-12) that describes our documents, and what in a value does not fit it.

One description serves twice: it is printed for whoever reads an export elsewhere, and an import is held against it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

__all__ = ["Shape", "items", "misfit", "none_or", "number", "record", "text", "truth", "whole", "word"]

Shape = Mapping[str, Any]

_LARGE = 1e15
"""Of any number in a record, at most: megohms and bytes are smaller, and nothing computed from it overflows."""


def text(longest: int = 2_000, pattern: str = "") -> Shape:
    return {"type": "string", "maxLength": longest, **({"pattern": pattern} if pattern else {})}


def word(*choices: str) -> Shape:
    return {"enum": list(choices)}


def number(least: float = -_LARGE, most: float = _LARGE) -> Shape:
    return {"type": "number", "minimum": least, "maximum": most}


def whole(least: int = 0, most: int = int(_LARGE)) -> Shape:
    return {"type": "integer", "minimum": least, "maximum": most}


def truth() -> Shape:
    return {"type": "boolean"}


def none_or(shape: Shape) -> Shape:
    return {"anyOf": [{"type": "null"}, shape]}


def items(shape: Shape, most: int = 10_000) -> Shape:
    return {"type": "array", "items": shape, "maxItems": most}


def record(properties: Mapping[str, Shape], required: tuple[str, ...] = (), **more: Any) -> Shape:
    """Keys that it does not name may stand beside: a later program may write more."""
    return {"type": "object", "properties": dict(properties), "required": list(required), **more}


def misfit(value: Any, shape: Shape, where: str = "") -> str:
    """The first thing that does not fit, in a few words with its place; empty where all does."""
    return next(_misfits(value, shape, where), "")


def _misfits(value: Any, shape: Shape, where: str) -> Iterator[str]:
    if "anyOf" in shape:
        found = [misfit(value, one, where) for one in shape["anyOf"]]
        if all(found):
            yield found[-1]
        return
    kind = shape.get("type")
    if kind is not None and not _is(value, kind):
        yield f"{_at(where)}expected {_WORDS[kind]}"
        return
    if "enum" in shape and not any(value is one or (isinstance(value, str) and value == one) for one in shape["enum"]):
        yield f"{_at(where)}expected one of {', '.join(map(str, shape['enum']))}"
        return
    match value:
        case str():
            yield from _text(value, shape, where)
        case bool() | None:
            return
        case int() | float():
            low, high = shape.get("minimum", value), shape.get("maximum", value)
            above = shape.get("exclusiveMinimum")
            if not low <= value <= high or (above is not None and value <= above):
                yield f"{_at(where)}expected from {low if above is None else above:g} to {high:g}"
        case list():
            yield from _list(value, shape, where)
        case dict():
            yield from _object(value, shape, where)


def _text(value: str, shape: Shape, where: str) -> Iterator[str]:
    if len(value) > shape.get("maxLength", len(value)):
        yield f"{_at(where)}expected at most {shape['maxLength']} characters"
    elif "pattern" in shape and _pattern(shape["pattern"]).search(value) is None:
        yield f"{_at(where)}expected the form {shape['pattern']}"


def _list(value: list[Any], shape: Shape, where: str) -> Iterator[str]:
    first = shape.get("prefixItems", ())
    least, most = shape.get("minItems", 0), shape.get("maxItems", len(value))
    if not least <= len(value) <= most:
        yield f"{_at(where)}expected from {least} to {most} of them"
        return
    for place, one in enumerate(value):
        of_one = first[place] if place < len(first) else shape.get("items")
        if of_one is not None:
            yield from _misfits(one, of_one, f"{where}[{place + 1}]")


def _object(value: dict[str, Any], shape: Shape, where: str) -> Iterator[str]:
    properties = shape.get("properties", {})
    for key in shape.get("required", ()):
        if key not in value:
            yield f"{_key(where, key)}: missing"
    for key, one in value.items():
        if key in properties:
            yield from _misfits(one, properties[key], _key(where, key))
        elif shape.get("additionalProperties") is False:
            yield f"{_key(where, key[:40])}: expected no such key"
    for rule in shape.get("allOf", ()):
        branch = "else" if misfit(value, rule["if"]) else "then"
        if branch in rule:
            yield from _misfits(value, rule[branch], where)


def _is(value: Any, kind: str) -> bool:
    if isinstance(value, bool):
        return kind == "boolean"
    if kind == "integer":
        return isinstance(value, int) or (isinstance(value, float) and value.is_integer())
    return isinstance(value, _TYPES[kind])


_TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,), "array": (list,), "string": (str,), "number": (int, float), "boolean": (bool,),
    "null": (type(None),),
}  # fmt: skip
_WORDS = {
    "object": "an object", "array": "a list", "string": "a text", "number": "a number", "integer": "a whole number",
    "boolean": "true or false", "null": "nothing",
}  # fmt: skip


@lru_cache(maxsize=64)
def _pattern(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def _key(where: str, key: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in key)
    return f"{where}.{plain}" if where else plain


def _at(where: str) -> str:
    return f"{where}: " if where else ""
