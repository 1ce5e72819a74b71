"""Messages to a meter and its answers over a link, one at a time, each with a deadline."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Protocol

from drivers.dialogue import Dialogue, Outcome, Refused, Taken, Unended, Unexpected
from drivers.errors import DriverError, MeterError, NoAnswer, OutOfStep, UnaskedLine, Unreadable
from drivers.exchange import Answered, Exchange, Glued, TimedOut, TooLong
from drivers.meter_profile import MeterProfile
from drivers.scpi import unreadable

__all__ = ["Line", "MeterLine"]

_log = logging.getLogger(__name__)
_DRAIN_BYTES = 65536


class Line(Protocol):
    """What a meter needs of a link."""

    def open(self) -> None: ...
    def close(self) -> None: ...
    def send(self, data: bytes) -> None: ...
    def receive(self, timeout_s: float) -> bytes: ...
    def reopen(self, within_s: float = 0.0) -> None: ...


class MeterLine:
    """Puts terminators, gaps and deadlines around what is said; knows nothing of what it means."""

    def __init__(
        self,
        link: Line,
        profile: MeterProfile,
        name: str,
        *,
        clock: Callable[[], float],
        sleep: Callable[[float], None],
    ) -> None:
        self._link = link
        self._profile = profile
        self._name = name
        self._manners = profile.manners
        self._answers_only = profile.manners.plain
        self._clock = clock
        self._sleep = sleep
        self._last_sent = float("-inf")
        self._last_answer = b""
        self._tail = b""
        self._limit = float("inf")
        self._heard = False

    @property
    def heard(self) -> bool:
        """Whether a byte ever came."""
        return self._heard

    @contextmanager
    def all_within(self, seconds: float) -> Iterator[None]:
        """Everything that is asked inside ends so many seconds from now; what comes too late for that is no answer."""
        before = self._limit
        self._limit = min(before, self._clock() + seconds)
        try:
            yield
        finally:
            self._limit = before

    def command(self, text: str) -> None:
        """Send a message that has no answer; raises LinkLost.

        Where the meter echoes, prompts or acknowledges, waits until it has, and raises MeterError where it refuses,
        NoAnswer, OutOfStep, UnaskedLine or Unreadable where something else comes.
        """
        if self._manners.commands_are_silent or not text:
            self.say(text)
            if not self._manners.commands_are_silent:
                self.drain(self._profile.timing.late_s)  # whether a bare terminator is prompted is not known
            return
        self._ask(text, self._profile.timing.response_s, query=False)

    def complete(self) -> None:
        """Wait until the meter has done what it was told, where the profile has a query for that.

        Raises what `query` raises, OutOfStep for another answer.
        """
        completion = self._profile.completion
        if completion is None:
            return
        answer = self.query(completion.query, completion.within_s)
        if not answer.isascii() or not completion.pattern.fullmatch(answer.decode("ascii").strip()):
            raise OutOfStep(f"{self._name}: {completion.query} was answered {answer[:60]!r}")

    def say(self, text: str) -> None:
        """Send a message and leave it at that, whatever comes back; raises LinkLost."""
        self.send_raw(text.encode("ascii") + self._profile.terminator_sent)

    def send_raw(self, data: bytes) -> None:
        pause = self._last_sent + self._profile.timing.gap_s - self._clock()
        if pause > 0:
            self._sleep(pause)
        self._link.send(data)
        self._last_sent = self._clock()

    def query(self, text: str, within_s: float, begun_s: float = 0.0) -> bytes:
        """The one line that answers; raises NoAnswer, OutOfStep, Unreadable or LinkLost, MeterError where refused.

        begun_s: a line that has begun in time may take so long in all.
        """
        outcome = self._ask(text, within_s, begun_s, query=True)
        assert isinstance(outcome, Answered)  # only a command is merely taken
        if outcome.repeats:
            _log.warning("%s: %r was answered %d times over: %r", self._name, text, outcome.repeats + 1, outcome.line)
        self._last_answer, self._tail = outcome.line, outcome.tail
        return outcome.line

    def _ask(self, text: str, within_s: float, begun_s: float = 0.0, *, query: bool) -> Answered | Taken:
        self._reject_strays(text)
        if self._clock() >= self._limit:
            raise NoAnswer(f"{self._name}: no time was left to ask {text}")
        self.say(text)
        asked = self._clock()
        deadline, begun_deadline = min(asked + within_s, self._limit), min(asked + begun_s, self._limit)
        terminator, limit = self._profile.terminator_received, self._profile.line_limit
        exchange: Exchange | Dialogue
        if self._answers_only:
            exchange = Exchange(deadline, terminator=terminator, line_limit=limit, begun_deadline=begun_deadline)
        else:
            exchange = Dialogue(
                deadline,
                text.encode("ascii"),
                self._manners,
                query=query,
                terminator=terminator,
                line_limit=limit,
                begun_deadline=begun_deadline,
            )
        outcome: Outcome | None = None
        while outcome is None:
            data = self._receive(max(0.0, exchange.deadline - self._clock()))
            outcome = exchange.feed(data, self._clock())
        if isinstance(outcome, (Answered, Taken)):
            return outcome
        raise self._trouble(outcome, text, exchange.deadline - asked)

    def _trouble(
        self, outcome: Glued | TooLong | TimedOut | Refused | Unexpected | Unended, text: str, within_s: float
    ) -> DriverError:
        match outcome:
            case Glued(lines):
                return self._not_one(text, lines)
            case TooLong(head):
                return Unreadable(
                    f"{self._name}: {text} brought over {self._profile.line_limit} bytes without an end, "
                    f"{_hex(head)} ...: check the line's rate and the terminator"
                )
            case TimedOut(piece):
                return self._silence(text, within_s, piece)
            case Refused(said):
                return MeterError(f"{self._name}: {text} was refused: the meter says {said}")
            case Unexpected(line, due):
                strange = unreadable(line)
                if strange is not None:
                    return Unreadable(f"{self._name}: {text}: {strange}")
                return OutOfStep(f"{self._name}: {line[:60]!r} came after {text}, where {due} was due")
            case Unended(lines, due):
                came = f"{_show(lines)} came after {text}, but not {due} within {within_s:.3g} s"
                return NoAnswer(f"{self._name}: {came}")

    def drain(self, most_s: float, quiet_s: float | None = None) -> bytes:
        """Throw away what comes until the line was quiet, at most `most_s`; gives what was thrown away.

        quiet_s: nothing comes for so long; else as the profile says. Raises LinkLost; OutOfStep where the flood
        does not end.
        """
        give_up = min(self._clock() + most_s, self._limit)
        quiet = self._profile.timing.quiet_s if quiet_s is None else quiet_s
        dropped = b""
        self._tail = b""
        while True:
            data = self._receive(quiet)
            if not data:
                break
            dropped += data
            if len(dropped) > _DRAIN_BYTES or self._clock() > give_up:
                raise OutOfStep(f"{self._name}: the meter does not stop sending ({_hex(dropped)} ...)")
        if dropped:
            _log.info("%s: dropped %d bytes: %s", self._name, len(dropped), _hex(dropped))
        return dropped

    def _receive(self, timeout_s: float) -> bytes:
        data = self._link.receive(timeout_s)
        self._heard = self._heard or bool(data)
        return data

    def _reject_strays(self, text: str) -> None:
        stray, self._tail = self._tail, b""
        stray += self._receive(0.0)
        if not stray:
            return
        terminator = self._profile.terminator_received
        if not stray.endswith(terminator):
            stray += self.drain(self._profile.timing.late_s)  # the rest of a line that is still coming
        *lines, piece = (line.strip(b"\r\n") for line in stray.split(terminator))
        lines = [line for line in lines if line.strip(b" \0") and not self._manners.skips(line)]
        if not lines and not piece:
            return
        # a repeat may be cut, but only where it has no end: a whole line is another answer
        if any(line != self._last_answer for line in lines) or not self._last_answer.startswith(piece.strip(b"\0")):
            raise UnaskedLine(
                f"{self._name}: {_show([*lines, piece] if piece else lines)} came unasked before {text} was sent"
            )
        _log.warning("%s: dropped a repeated answer: %s", self._name, _hex(stray))

    def _not_one(self, text: str, lines: tuple[bytes, ...]) -> OutOfStep | Unreadable:
        trouble = next(filter(None, map(unreadable, lines)), None)
        if trouble is not None:  # at a wrong rate some bytes look like the end of a line
            return Unreadable(f"{self._name}: {text}: {trouble}")
        return OutOfStep(f"{self._name}: {len(lines)} lines came where {text} gives one: {_show(lines)}")

    def _silence(self, text: str, within_s: float, piece: bytes) -> NoAnswer | Unreadable:
        if unreadable(piece) is not None:
            return Unreadable(f"{self._name}: {text}: {unreadable(piece)}")
        ends = "; check the terminator that is received" if b"\r" in piece else ""
        came = f", only a piece without an end: {piece[:40]!r}{ends}" if piece else ""
        return NoAnswer(f"{self._name}: no answer to {text} within {within_s:.3g} s{came}")


def _hex(data: bytes) -> str:
    return data[:32].hex(" ")


def _show(lines: tuple[bytes, ...] | list[bytes]) -> str:
    return ", ".join(repr(line[:40]) for line in lines[:4])
