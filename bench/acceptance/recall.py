"""Answers of a test that was broken off, given again where the same is asked, so that nobody is asked twice."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from bench.acceptance.reading_object import reading_from
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, OperatorRequest, Skipped, Take, Wait
from bench.acceptance.result import StepResult
from drivers.reading import Reading

__all__ = ["Recall", "Recalled", "ask_word"]

Key = tuple[str, str, str, int]
"""Step of the procedure, what is asked, its own step, and how often that was asked before there."""


class Recalled:
    """value: as it was answered;  sitting: in which sitting, from 1."""

    def __init__(self, value: Any, sitting: int) -> None:
        self.value = value
        self.sitting = sitting


class Recall:
    """What is kept of one test, by what was asked.

    entries: kind and body of what was recorded since it began, oldest first;  clock [s] and utcnow: of this sitting, to
    which the times of earlier readings are brought.
    """

    def __init__(
        self,
        entries: Iterable[tuple[str, Mapping[str, Any]]] = (),
        *,
        clock: Callable[[], float] = lambda: 0.0,
        utcnow: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        self._kept: dict[Key, tuple[str, Mapping[str, Any]]] = {}
        self._steps: dict[str, str] = {}
        self._asked: dict[tuple[str, str, str], int] = {}
        self._shifts: dict[int, float] = {}
        self._sittings = 0
        self.reads_again = False
        self._judged: frozenset[str] = frozenset()
        self._age = clock() - utcnow().timestamp()
        for kind, body in entries:
            self._take_in(kind, body)

    @property
    def sitting(self) -> int:
        """The one that begins now, from 1."""
        return max(1, self._sittings)

    @property
    def resumes(self) -> bool:
        """Whether there was a sitting before this one."""
        return self._sittings > 1

    def judged_more_than(self, steps: Iterable[StepResult]) -> bool:
        """Whether the newest result of an earlier sitting holds a step that these lack."""
        return not self._judged <= {one.id for one in steps}

    @property
    def answers(self) -> int:
        """How many answers are kept that were not asked for yet."""
        return len(self._kept)

    def more(self, phase: str) -> bool:
        """Whether answers of this step of the procedure are kept that were not asked for yet."""
        return any(key[0] == phase for key in self._kept)

    def place(self, phase: str, request: OperatorRequest | Take) -> Key:
        """Where the answer to this request is kept; each call is one more asking."""
        name = (phase, ask_word(request), request.step)
        self._asked[name] = self._asked.get(name, 0) + 1
        return (*name, self._asked[name])

    def answer(self, place: Key, request: OperatorRequest | Take) -> Recalled | None:
        """What was answered there before; None where nothing was, or something else was asked then."""
        found = self._kept.pop(place, None)
        if found is None:
            return None
        kind, body = found
        sitting = int(body.get("sitting", 1))
        if "skip" in body:
            return Recalled(Skipped(str(body["skip"])), sitting)
        if isinstance(request, Take):
            if kind != "reading" or body.get("quantity") != str(request.quantity):
                return None
            return Recalled(self._in_this_sitting(reading_from(body), sitting), sitting)
        if isinstance(request, Enter):
            if body.get("quantity") != str(request.quantity) or "text" not in body:
                return None
            return Recalled(str(body["text"]), sitting)
        return Recalled(None, sitting)

    def knows(self, result: StepResult) -> bool:
        """Whether this very result is recorded already."""
        return self._steps.get(result.id) == _canonical(result.as_json())

    def _take_in(self, kind: str, body: Mapping[str, Any]) -> None:
        match kind:
            case "test begun" | "test go":
                self._sittings += 1
                self.reads_again = bool(body.get("again"))
                again = set(body.get("again") or ())
                self._kept = {k: v for k, v in self._kept.items() if not again & {k[0], k[2]}}
            case "reading" | "answer" if "place" in body:
                phase, ask, step, number = body["place"]
                self._kept[(str(phase), str(ask), str(step), int(number))] = kind, body
            case "result":
                self._judged = frozenset(str(one["id"]) for one in body.get("steps") or ())
            case "step":
                self._steps[str(body.get("id"))] = _canonical(body)

    def _in_this_sitting(self, reading: Reading, sitting: int) -> Reading:
        """Its monotonic time as this program's clock would have told it: one shift for all of a sitting, whose own
        differences of time stay as they were."""
        shift = self._shifts.setdefault(sitting, reading.at.timestamp() - reading.monotonic + self._age)
        return replace(reading, monotonic=reading.monotonic + shift)


def ask_word(request: OperatorRequest | Take) -> str:
    """The word of the operator protocol for a request."""
    match request:
        case Confirm():
            return "confirm"
        case Connect():
            return "connect"
        case Excite():
            return "excite"
        case Load():
            return "load"
        case Wait():
            return "wait"
        case Enter():
            return "enter"
        case Take():
            return "take"


def _canonical(body: Mapping[str, Any]) -> str:
    """Numbers to nine digits: times of an earlier sitting are brought to this one's clock, which rounds."""

    def rounded(value: Any) -> Any:
        if isinstance(value, float):
            return float(f"{value:.9g}")
        if isinstance(value, Mapping):
            return {key: rounded(one) for key, one in value.items()}
        return [rounded(one) for one in value] if isinstance(value, (list, tuple)) else value

    return json.dumps(rounded(body), sort_keys=True)
