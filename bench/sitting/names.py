"""The winding that a person means by a name typed in other capitals, and which one was perhaps meant by none."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

__all__ = ["expected_names", "meant_name"]


def meant_name(name: str, known: Iterable[str]) -> str | None:
    """The one of `known` that is `name`, or that alone differs from it in capitals only; None where there is none."""
    from bench.survey.gathered import same_but_for_capitals

    return same_but_for_capitals(name, known)


def expected_names(name: str, known: Iterable[str]) -> str:
    """`expected one of heater, ht`, and the one that is spelt nearly so."""
    names = list(dict.fromkeys(known))
    if not names:
        return "expected one of none yet"
    by_letters = {one.casefold(): one for one in names}
    alike = [one for one in names if one.casefold() == name.casefold()]
    close = alike or [by_letters[one] for one in difflib.get_close_matches(name.casefold(), by_letters, n=1)]
    hint = f": did you mean {' or '.join(close)}?" if close else ""
    return f"expected one of {', '.join(names)}{hint}"
