"""Two readings that are compared belong to one excitation: broken off in between, the earlier is taken again."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.requests import Request
from drivers.reading import Reading

__all__ = ["Reads", "both_in_one_sitting"]

Reads = Callable[[], Generator[Request, Any, Reading]]


def both_in_one_sitting(
    context: Context, reference: Reads, reading: Reads
) -> Generator[Request, Any, tuple[Reading, Reading]]:
    """The reference, then the reading, both of the last sitting: the supply of another is another."""
    first = yield from reference()
    first_in = context.sitting
    second = yield from reading()
    second_in = context.sitting
    while first_in != second_in:
        if first_in < second_in:
            first = yield from reference()
            first_in = context.sitting
        else:
            second = yield from reading()
            second_in = context.sitting
    return first, second
