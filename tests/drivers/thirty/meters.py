"""A meter whose every reading is another number, so that the answer to another query is recognised."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from ..fake_meter import FakeMeter

__all__ = ["Chunks", "Fault", "UniqueMeter", "instead", "late", "nothing"]

Chunks = list[tuple[float, bytes]]
"""What is sent: each piece so many seconds after the one before."""

Fault = Callable[[bytes], Chunks]
"""What becomes of an answer."""

_STEP = 1e-6  # well inside of what the meter's range takes for the same value


class UniqueMeter(FakeMeter):
    """`given` holds the answers to READ? in order; `faults` takes what the next of them become on the line."""

    def __init__(self, identity: bytes | None = None) -> None:
        super().__init__()
        self.identity = identity or self.identity
        self.given: list[str] = []
        self.line_faults: deque[Fault] = deque()
        self.answer_faults: dict[str, Fault] = {}
        self.mute = False

    def hear(self, message: str) -> Chunks:
        if self.mute:
            self.heard.append(message)
            return []
        answers = super().hear(message)
        if message in self.answer_faults:
            return self.answer_faults[message](answers[0][1] if answers else b"")
        if message == "READ?" and self.line_faults:
            return self.line_faults.popleft()(answers[0][1])
        return answers

    def configure(self, function: str, argument: str) -> None:
        try:
            super().configure(function, argument)
        except ValueError:
            self.errors.append(b'-104,"Data type error"')

    def reading(self) -> bytes:
        self.value += _STEP
        answer = super().reading()
        self.given.append(answer.decode("ascii").strip())
        return answer


def late(seconds: float) -> Fault:
    """The answer comes so much later."""
    return lambda answer: [(seconds, answer)]


def instead(*chunks: tuple[float, bytes]) -> Fault:
    """Something else comes."""
    return lambda _: list(chunks)


def nothing(_: bytes) -> Chunks:
    """No answer."""
    return []
