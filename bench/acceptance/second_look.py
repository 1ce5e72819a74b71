"""What one reading would reject is read again, leads put on anew: two that tell two things condemn no unit."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import SECOND_LOOK, agree, at_fault, not_repeated
from bench.acceptance.requests import Request, Skipped
from bench.acceptance.result import StepResult

__all__ = ["looked_at_twice"]

Reads = Callable[[str], Generator[Request, Any, StepResult]]


def looked_at_twice(context: Context, read: Reads, unlike: str) -> Generator[Request, Any, StepResult]:
    """The result of `read`, or of its repetition.

    read: given what to say besides, empty at first;  unlike: where to look when a rejection and its repetition differ.
    """
    first = yield from read("")
    if first.verdict not in (Verdict.REJECTED, Verdict.TROUBLE):
        return first
    context.connected = None
    try:
        result = yield from read(SECOND_LOOK)
    except Skipped as reason:
        result = not_repeated(first, str(reason))
    if first.verdict is Verdict.REJECTED and not agree(first, result):
        return at_fault(result, f"read twice, told {unlike}")
    return result
