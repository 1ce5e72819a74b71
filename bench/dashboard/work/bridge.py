"""The bridge from one work to the window: an observer that posts what it is told, and ends the work that is closed."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Any

from bench.acceptance.meter_abilities import no_doubt_known
from bench.acceptance.procedure import Procedure
from bench.acceptance.requests import Request, StepDone, Take
from bench.acceptance.result import StepResult, TestResult
from bench.acceptance.suspicion import Suspicion
from bench.dashboard import news as told
from bench.dashboard.work.mailbox import Mailbox
from bench.job.model import Job
from bench.quantities import show
from bench.winding.progress import Progress
from drivers.reading import Quantity, Reading

__all__ = ["Bridge", "Closed"]

_LOOK_EVERY_S = 0.1


class Closed(Exception):
    """Raised in the worker when the person has closed the window, so that everything it holds is put away."""


class Bridge:
    """Observer of a job on one side, a mailbox on the other.

    Only the count, and what a meter shows while it settles, may be left out when the window can't keep up: the next
    one says it again.
    """

    def __init__(self, mailbox: Mailbox | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self._mailbox = mailbox or Mailbox(clock)
        self._quantity: Quantity | None = None
        self._doubt: Callable[[Quantity, float], float | None] = no_doubt_known
        self._closed = threading.Event()

    def close(self) -> None:
        """From now on every call of the observer ends the worker."""
        self._closed.set()

    @property
    def closed(self) -> bool:
        return self._closed.is_set()

    def drain(self) -> list[tuple[told.News, float]]:
        """What came since the last call, oldest first, each with its time [s, monotonic]."""
        return self._mailbox.drain()

    def begun(self, job: Job, winding: str) -> None:
        self._post(told.WindingBegun(job, winding))

    def progressed(self, progress: Progress) -> None:
        self._stop_if_closed()
        self._mailbox.try_post(told.Progressed(progress))

    def count_event(self, event: Any) -> None:
        self._post(told.CountEvent(event))

    def test_begun(self, procedure: Procedure) -> None:
        # What is taken out here is frozen; the context itself goes on changing in the worker.
        job, expectation = procedure.context.job, procedure.context.expectation
        equipment = procedure.context.equipment
        self._doubt = equipment.doubt_of
        plan, curve = tuple(procedure.plan()), expectation.curve
        self._post(told.TestBegun(job, plan, curve, expectation.voltage, equipment.at_once))

    def instrument(self, name: str, health: str) -> None:
        self._post(told.InstrumentOpened(name, health))

    def asked(self, request: Request) -> None:
        match request:
            case StepDone():
                self._stop_if_closed()
            case Take():
                self._quantity = request.quantity
                self._post(told.Taking(request.step, request.quantity))
            case _:
                self._post(told.Asked(request))

    def settling(self, step: str, value: float | None, state_words: str) -> None:
        self._stop_if_closed()
        quantity = self._quantity
        if value is None or quantity is None:
            self._mailbox.try_post(told.Settling("", state_words))
            return
        shown, u = show(value, quantity.unit, 4), self._doubt(quantity, abs(value))
        self._mailbox.try_post(told.Settling(shown, state_words, value, u, quantity.unit))

    def reading_taken(self, step: str, reading: Reading) -> None:
        self._post(told.ReadingTaken(step, reading))

    def step_done(self, result: StepResult) -> None:
        self._post(told.StepDone(result))

    def suspected(self, suspicions: tuple[Suspicion, ...], words: tuple[str, ...]) -> None:
        self._post(told.Suspected(suspicions))

    def finished(self, result: TestResult) -> None:
        self._post(told.Finished(result))

    def tell(self, news: told.News) -> None:
        """Post what is no business of an observer."""
        self._post(news)

    def _post(self, news: told.News) -> None:
        at = self._mailbox.clock()
        self._stop_if_closed()
        while not self._mailbox.post(news, at, _LOOK_EVERY_S):
            self._stop_if_closed()

    def _stop_if_closed(self) -> None:
        if self._closed.is_set():
            raise Closed
