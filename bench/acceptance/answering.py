"""Answers the requests of a procedure: by the operator, by the instrument, each reading kept before it is used."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any, Protocol

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.instrument import Instrument
from bench.acceptance.reading_object import reading_object
from bench.acceptance.requests import Connect, Enter, Excite, OperatorRequest, Request, Skipped, Stopped, Take, Trouble
from drivers.reading import Quantity, Reading, State

__all__ = ["Answering", "Keep", "Operator", "Watcher", "ask_for_value", "reading_object"]

Keep = Callable[[str, dict[str, Any]], None]
"""Stores one thing under a kind (`reading`, `answer`, `step`, `result`) before anything else happens."""

_NOTHING_FED = (Quantity.RESISTANCE, Quantity.RESISTANCE_4W)


class Operator(Protocol):
    """Whoever does what is asked: a person at a terminal, a fixture, the rehearsal's hand."""

    def ask(self, request: OperatorRequest) -> Reply:
        """Put one request and wait for its reply; a malformed reply is asked again, the end of input means stop."""
        ...


class Watcher(Protocol):
    """A view on requests and readings; called after what it is told was stored."""

    def asked(self, request: Request) -> None: ...

    def settling(self, step: str, value: float | None, state_words: str) -> None:
        """What the meter shows now [SI], None for overload or no value, and how it stands: not stored."""
        ...

    def reading_taken(self, step: str, reading: Reading) -> None: ...


class Answering:
    """Between a procedure and the bench.  clock [s]: that of the instrument's readings."""

    def __init__(
        self,
        operator: Operator,
        instrument: Instrument,
        keep: Keep,
        watchers: Sequence[Watcher] = (),
        *,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._operator = operator
        self._instrument = instrument
        self._keep = keep
        self._watchers = watchers
        self._clock = clock
        self._connected: Connect | None = None
        self._live_volts = 0.0

    def answer(self, request: OperatorRequest | Take) -> Any:
        """What the procedure is fed: a text, a Reading, None; or Skipped, Stopped or Trouble, as a value."""
        for watcher in self._watchers:
            watcher.asked(request)
        try:
            return self._answer(request)
        except (Skipped, Stopped, Trouble) as trouble:
            return trouble

    def _answer(self, request: OperatorRequest | Take) -> Any:
        match request:
            case Take(quantity=Quantity.TIME):
                moment = Reading(Quantity.TIME, 0.0, State.GOOD, "clock", datetime.now(UTC), self._clock())
                self._keep("reading", {"step": request.step, **reading_object(moment)})
                return moment
            case Take():
                assert self._connected is not None
                reading = self._instrument.take(
                    request,
                    self._connected,
                    self._live_volts,
                    lambda value, words: self._show_settling(request.step, value, words),
                )
                self._keep("reading", {"step": request.step, **reading_object(reading)})
                for watcher in self._watchers:
                    watcher.reading_taken(request.step, reading)
                return reading
            case Connect() if self._instrument.moves_by_hand and request.quantity in _NOTHING_FED:
                # Nothing is fed meanwhile: connecting and reading are one ask.
                self._connected = request
                return None
            case Connect():
                self._connected = request
                self._ask(request)
                return None
            case Enter():
                return self._ask(request)
            case Excite():
                # Until volts to zero are confirmed the higher of the two counts.
                self._live_volts = max(self._live_volts, request.hazard)
                self._ask(request)
                self._live_volts = request.hazard if request.volts > 0 else 0.0
                return None
            case _:
                self._ask(request)
                return None

    def _show_settling(self, step: str, value: float | None, words: str) -> None:
        for watcher in self._watchers:
            watcher.settling(step, value, words)

    def _ask(self, request: OperatorRequest) -> str:
        text = ask_for_value(self._operator, request)
        if isinstance(request, Enter):
            self._keep("answer", {"step": request.step, "quantity": str(request.quantity), "text": text})
        return text


def ask_for_value(operator: Operator, request: OperatorRequest) -> str:
    """The text of a reply; a skip or a stop is raised as such."""
    reply = operator.ask(request)
    match reply.kind:
        case ReplyKind.SKIP:
            raise Skipped(reply.text)
        case ReplyKind.STOP:
            raise Stopped(reply.text)
    return reply.text
