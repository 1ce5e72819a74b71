"""One message to a meter that echoes, prompts or acknowledges, and all that comes back; without I/O."""

from __future__ import annotations

from dataclasses import dataclass

from drivers.exchange import Answered, Glued, TimedOut, TooLong
from drivers.exchange import Outcome as PlainOutcome
from drivers.lines import LineAssembler, Overlong
from drivers.manners import Manners

__all__ = ["Dialogue", "Outcome", "Refused", "Taken", "Unended", "Unexpected"]


@dataclass(frozen=True, slots=True)
class Taken:
    """A message that is no query was taken."""


@dataclass(frozen=True, slots=True)
class Refused:
    """The meter said that it did not take the message: what it said."""

    said: str


@dataclass(frozen=True, slots=True)
class Unexpected:
    """Another line came where `due` was due, such as the answer before the echo, or the prompt without an answer."""

    line: bytes
    due: str


@dataclass(frozen=True, slots=True)
class Unended:
    """Whole lines came, but `due` did not follow before the deadline: they are not taken."""

    lines: tuple[bytes, ...]
    due: str


Outcome = PlainOutcome | Taken | Refused | Unexpected | Unended


class Dialogue:
    """Waits until the meter has said all that its manners make it say after `message`; one deadline for all of it.

    begun_deadline: where an answer has begun by `deadline`, it may end by then.
    """

    def __init__(
        self,
        deadline: float,
        message: bytes,
        manners: Manners,
        *,
        query: bool,
        terminator: bytes = b"\n",
        line_limit: int = 350,
        begun_deadline: float = float("-inf"),
    ) -> None:
        self.deadline = deadline
        self._begun_deadline = begun_deadline
        self._message = message.strip()
        self._manners = manners
        self._query = query
        self._lines = LineAssembler(terminator, line_limit)
        self._echoed = not manners.echo
        self._content: list[bytes] = []
        self._complaint: str | None = None
        self._ended = False
        self._after: list[bytes] = []

    def feed(self, data: bytes, now: float) -> Outcome | None:
        """Take what arrived (b"" when nothing did); the outcome, or None while waiting goes on."""
        for each in self._lines.feed(data):
            if isinstance(each, Overlong):
                return TooLong(each.head)
            if not each.strip(b" \r\n") or self._manners.skips(each):
                continue
            trouble = self._take(each)
            if trouble is not None:
                return trouble
        if not self._ended and not self._manners.prompt_ends_line and self._manners.is_prompt(self._lines.pending):
            prompt = self._lines.pending
            self._lines.clear()
            trouble = self._take(prompt)
            if trouble is not None:
                return trouble
        if self._ended:
            return self._outcome()
        if (self._lines.pending or self._content) and now <= self.deadline:
            self.deadline = max(self.deadline, self._begun_deadline)
        if now >= self.deadline:
            return Unended(tuple(self._content), self._due) if self._content else TimedOut(self._lines.pending)
        return None

    @property
    def _due(self) -> str:
        if not self._echoed:
            return "the echo"
        if self._manners.prompt:
            return "the prompt"
        return "an answer" if self._query else "the acknowledge line"

    def _take(self, line: bytes) -> Unexpected | None:
        if self._ended:
            self._after.append(line)
            return None
        if not self._echoed:
            if line.strip(b" \r\n") != self._message:
                return Unexpected(line, self._due)
            self._echoed = True
            self._ended = not (self._query or self._manners.prompt or self._manners.acknowledge)
            return None
        complaint = self._manners.complaint(line)
        is_prompt = self._manners.is_prompt(line)
        is_word = not self._query and line.strip(b" \r\n") == self._manners.acknowledge
        if complaint is not None:
            self._complaint = self._complaint or complaint
        elif not is_prompt and not is_word:
            if not self._query:
                return Unexpected(line, self._due)
            self._content.append(line)
        self._ended = is_prompt or not self._manners.prompt
        return None

    def _outcome(self) -> Outcome:
        if self._complaint is not None:
            return Refused(self._complaint)
        tail = self._lines.pending
        if not self._query:
            return Glued((*self._after, tail)) if self._after or tail.strip(b" \r\n") else Taken()
        if not self._content:
            return Unexpected(self._manners.prompt, "an answer")
        first, *others = (*self._content, *self._after)
        if any(line != first for line in others) or not first.startswith(tail.rstrip(b"\r\n")):
            return Glued((first, *others, tail) if tail else (first, *others))
        return Answered(first, len(others), tail)
