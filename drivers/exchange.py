"""One query and its one answer, as a state machine without I/O."""

from __future__ import annotations

from dataclasses import dataclass, field

from drivers.lines import LineAssembler, Overlong

__all__ = ["Answered", "Exchange", "Glued", "Outcome", "TimedOut", "TooLong"]


@dataclass(frozen=True, slots=True)
class Answered:
    """One line came; `repeats` says how often the same came again with it, `tail` is the beginning of one more."""

    line: bytes
    repeats: int = 0
    tail: bytes = field(default=b"", compare=False)


@dataclass(frozen=True, slots=True)
class Glued:
    """Two different lines where one is due: nobody can say which is the answer."""

    lines: tuple[bytes, ...]


@dataclass(frozen=True, slots=True)
class TooLong:
    """More bytes than any answer has, without an end."""

    head: bytes


@dataclass(frozen=True, slots=True)
class TimedOut:
    """The deadline passed; `piece` is what had come of a line, never to be taken for one."""

    piece: bytes


Outcome = Answered | Glued | TooLong | TimedOut


class Exchange:
    """Waits for the answer to one query until `deadline` (monotonic s) for the whole line.

    begun_deadline: where a line has begun by `deadline`, it may end by then; a slow meter drips.
    """

    def __init__(
        self,
        deadline: float,
        *,
        terminator: bytes = b"\n",
        line_limit: int = 350,
        begun_deadline: float = float("-inf"),
    ) -> None:
        self.deadline = deadline
        self._begun_deadline = begun_deadline
        self._lines = LineAssembler(terminator, line_limit)

    def feed(self, data: bytes, now: float) -> Outcome | None:
        """Take what arrived (b"" when nothing did); the outcome, or None while waiting goes on."""
        found = self._lines.feed(data)
        lines: list[bytes] = []
        for each in found:
            if isinstance(each, Overlong):
                return TooLong(each.head)
            if each.strip(b" \r\n"):
                lines.append(each)
        if lines:
            first, *others = lines
            tail = self._lines.pending
            if any(line != first for line in others) or not first.startswith(tail.rstrip(b"\r\n")):
                return Glued((*lines, tail) if tail else tuple(lines))
            return Answered(first, len(others), tail)
        if self._lines.pending and now <= self.deadline:
            self.deadline = max(self.deadline, self._begun_deadline)
        if now >= self.deadline:
            return TimedOut(self._lines.pending)
        return None
