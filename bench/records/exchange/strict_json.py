"""JSON from elsewhere, read strictly: what two readers could take in two ways is refused."""

from __future__ import annotations

import json
from collections import Counter
from typing import Any, NoReturn

from bench.records.exchange.limits import MOST_DEEP

__all__ = ["NotStrict", "strict_json"]

_DIGITS = 400
"""Of one number; the longest that a float is written with has 24, and one of more than 309 is no float."""


class NotStrict(ValueError):
    """The text is no JSON, or JSON that can't be trusted to mean one thing; one line."""


def strict_json(text: bytes) -> Any:
    """The value.  Raises NotStrict for what is no UTF-8, no JSON, too deep, has a key twice, a number that no float
    holds, NaN or an infinity, or half of a surrogate pair."""
    try:
        plain = text.decode("utf-8")
        _not_too_deep(plain)
        value = json.loads(
            plain, object_pairs_hook=_object, parse_constant=_no_number, parse_float=_float, parse_int=_int
        )
        if "\\u" in plain:  # only an escape can bring half a pair: in UTF-8 there is none
            json.dumps(value, ensure_ascii=False).encode("utf-8")
    except UnicodeDecodeError:
        raise NotStrict("is no UTF-8 text") from None
    except UnicodeEncodeError:
        raise NotStrict("holds half of a surrogate pair, which is no character") from None
    except json.JSONDecodeError as problem:
        raise NotStrict(f"is no JSON: {problem.msg} at line {problem.lineno}, column {problem.colno}") from None
    except RecursionError:
        raise NotStrict(_DEEP) from None
    return value


_DEEP = f"has more than {MOST_DEEP} lists and objects in each other"


def _not_too_deep(text: str) -> None:
    """Before anything is built from it; brackets inside texts do not count."""
    depth, inside, skip = 0, False, False
    if text.count("[") + text.count("{") <= MOST_DEEP:
        return
    for one in text:
        if skip:
            skip = False
        elif inside:
            inside, skip = one != '"', one == "\\"
        elif one == '"':
            inside = True
        elif one in "[{":
            depth += 1
            if depth > MOST_DEEP:
                raise NotStrict(_DEEP)
        elif one in "]}":
            depth -= 1


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        twice = next(key for key, many in Counter(key for key, _ in pairs).items() if many > 1)
        raise NotStrict(f"has the key {twice[:40]!r} twice in one object")
    return made


def _no_number(word: str) -> NoReturn:
    raise NotStrict(f"holds {word}, which is no number of JSON")


def _float(digits: str) -> float:
    if len(digits) > _DIGITS:
        raise NotStrict("holds a number of hundreds of digits")
    value = float(digits)
    if value - value != 0.0:
        raise NotStrict(f"holds {digits[:20]}, which is too large for a number")
    return value


def _int(digits: str) -> int:
    if len(digits) > 18:
        raise NotStrict(f"holds {digits[:20]}, which is too large for a number")
    return int(digits)
