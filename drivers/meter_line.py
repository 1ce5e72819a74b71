"""Messages to a meter and its answers over a link, one at a time, each with a deadline."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import NoReturn, Protocol

from drivers.dialogue import Dialogue, Outcome, Refused, Taken, Unended, Unexpected
from drivers.errors import MeterError, NoAnswer, OutOfStep, UnaskedLine, Unreadable
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
        self._reject_strays(text)
        self.say(text)
        within_s = self._profile.timing.response_s
        outcome = self._converse(self._dialogue(text, within_s, query=False))
        if not isinstance(outcome, Taken):
            self._fail(outcome, text, within_s)

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

    def query(self, text: str, within_s: float) -> bytes:
        """The one line that answers; raises NoAnswer, OutOfStep, Unreadable or LinkLost, MeterError where refused."""
        self._reject_strays(text)
        self.say(text)
        if self._answers_only:
            outcome = self._converse(
                Exchange(
                    self._clock() + within_s,
                    terminator=self._profile.terminator_received,
                    line_limit=self._profile.line_limit,
                )
            )
        else:
            outcome = self._converse(self._dialogue(text, within_s, query=True))
        if not isinstance(outcome, Answered):
            self._fail(outcome, text, within_s)
        if outcome.repeats:
            _log.warning("%s: %r was answered %d times over: %r", self._name, text, outcome.repeats + 1, outcome.line)
        self._last_answer = outcome.line
        return outcome.line

    def _dialogue(self, text: str, within_s: float, *, query: bool) -> Dialogue:
        return Dialogue(
            self._clock() + within_s,
            text.encode("ascii"),
            self._manners,
            query=query,
            terminator=self._profile.terminator_received,
            line_limit=self._profile.line_limit,
        )

    def _converse(self, exchange: Exchange | Dialogue) -> Outcome:
        outcome: Outcome | None = None
        while outcome is None:
            data = self._link.receive(max(0.0, exchange.deadline - self._clock()))
            outcome = exchange.feed(data, self._clock())
        return outcome

    def _fail(self, outcome: Outcome, text: str, within_s: float) -> NoReturn:
        match outcome:
            case Glued(lines):
                raise OutOfStep(f"{self._name}: {len(lines)} lines came where {text} gives one: {_show(lines)}")
            case TooLong(head):
                raise Unreadable(
                    f"{self._name}: {text} brought over {self._profile.line_limit} bytes without an end, "
                    f"{_hex(head)} ...: check the line's rate and the terminator"
                )
            case TimedOut(piece):
                raise self._silence(text, within_s, piece)
            case Refused(said):
                raise MeterError(f"{self._name}: {text} was refused: the meter says {said}")
            case Unexpected(line, due):
                raise OutOfStep(f"{self._name}: {line[:60]!r} came after {text}, where {due} was due")
            case Unended(lines, due):
                raise NoAnswer(f"{self._name}: {_show(lines)} came after {text}, but not {due} within {within_s:g} s")
        raise AssertionError(f"{outcome!r} is no failure")

    def drain(self, most_s: float) -> bytes:
        """Throw away what comes until the line was quiet, at most `most_s`; gives what was thrown away.

        Raises LinkLost; OutOfStep where the flood does not end.
        """
        give_up = self._clock() + most_s
        dropped = b""
        while True:
            data = self._link.receive(self._profile.timing.quiet_s)
            if not data:
                break
            dropped += data
            if len(dropped) > _DRAIN_BYTES or self._clock() > give_up:
                raise OutOfStep(f"{self._name}: the meter does not stop sending ({_hex(dropped)} ...)")
        if dropped:
            _log.info("%s: dropped %d bytes: %s", self._name, len(dropped), _hex(dropped))
        return dropped

    def _reject_strays(self, text: str) -> None:
        stray = self._link.receive(0.0)
        if not stray:
            return
        pieces = stray.replace(self._profile.terminator_received, b"\n").split(b"\n")
        lines = [line.rstrip(b"\r\n") for line in pieces if line.strip(b"\r\n \0") and not self._manners.skips(line)]
        if not lines:
            return
        if any(line != self._last_answer for line in lines):
            raise UnaskedLine(f"{self._name}: {_show(lines)} came unasked before {text} was sent")
        _log.warning("%s: dropped a repeated answer: %s", self._name, _hex(stray))

    def _silence(self, text: str, within_s: float, piece: bytes) -> NoAnswer | Unreadable:
        if unreadable(piece) is not None:
            return Unreadable(f"{self._name}: {text}: {unreadable(piece)}")
        came = f", only a piece without an end: {piece[:40]!r}" if piece else ""
        return NoAnswer(f"{self._name}: no answer to {text} within {within_s:g} s{came}")


def _hex(data: bytes) -> str:
    return data[:32].hex(" ")


def _show(lines: tuple[bytes, ...] | list[bytes]) -> str:
    return ", ".join(repr(line[:40]) for line in lines[:4])
