"""Runs a procedure against an operator, an instrument and a record: the only place where the three meet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from typing import Any, Protocol

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.instrument import Instrument
from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.requests import (
    Connect,
    Enter,
    OperatorRequest,
    Request,
    Skipped,
    StepDone,
    Stopped,
    Take,
    Trouble,
)
from bench.acceptance.result import StepResult, TestResult
from drivers.reading import Quantity, Reading

__all__ = ["Keep", "Observer", "Operator", "TestSession", "ask_for_value"]

Keep = Callable[[str, dict[str, Any]], None]
"""Stores one thing under a kind (`reading`, `answer`, `step`, `result`) before anything else happens."""

_NOTHING_FED = (Quantity.RESISTANCE, Quantity.RESISTANCE_4W)


class Operator(Protocol):
    """Whoever does what is asked: a person at a terminal, a fixture, the rehearsal's hand."""

    def ask(self, request: OperatorRequest) -> Reply:
        """Put one request and wait for its reply; a malformed reply is asked again, the end of input means stop."""
        ...


class Observer(Protocol):
    """A view on a running test; called after what it is told was stored."""

    def asked(self, request: Request) -> None: ...

    def reading_taken(self, step: str, reading: Reading) -> None: ...

    def step_done(self, result: StepResult) -> None: ...


class TestSession:
    """One test from the first caution to the result."""

    __test__ = False

    def __init__(
        self,
        procedure: Procedure,
        operator: Operator,
        instrument: Instrument,
        keep: Keep,
        observers: tuple[Observer, ...] = (),
    ) -> None:
        self._procedure = procedure
        self._operator = operator
        self._instrument = instrument
        self._keep = keep
        self._observers = observers
        self._connected: Connect | None = None

    def run(self) -> TestResult:
        """Walk the procedure to its end; what is measured and what is judged is kept as it comes."""
        request = self._procedure.start()
        while not isinstance(request, Finished):
            for observer in self._observers:
                observer.asked(request)
            try:
                answer = self._answer(request)
            except (Skipped, Stopped, Trouble) as trouble:
                answer = trouble
            request = self._procedure.feed(answer)
        self._keep("result", request.result.as_json())
        return request.result

    def _answer(self, request: Request) -> Any:
        match request:
            case StepDone(result=result):
                assert isinstance(result, StepResult)
                self._keep("step", result.as_json())
                for observer in self._observers:
                    observer.step_done(result)
                return None
            case Take():
                assert self._connected is not None
                reading = self._instrument.take(request, self._connected)
                self._keep("reading", {"step": request.step, **reading_object(reading)})
                for observer in self._observers:
                    observer.reading_taken(request.step, reading)
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
            case _:
                self._ask(request)
                return None

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


def reading_object(reading: Reading) -> dict[str, Any]:
    """A reading as it is stored and printed."""
    return {
        "schema": 1,
        "quantity": str(reading.quantity),
        "value": reading.value,
        "unit": reading.unit,
        "state": str(reading.state),
        "components": [asdict(component) for component in reading.components],
        "instrument": reading.instrument,
        "at": reading.at.isoformat(),
        "monotonic": reading.monotonic,
        "span": reading.span,
        "raw": reading.raw,
    }
