"""What the window can do: open a job, begin a work at the bench and speak with it, have something reckoned."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from bench.acceptance.ask import Reply
from bench.dashboard import news as told
from bench.dashboard.state import TEST_STANDS, Snapshot, advance
from bench.dashboard.work.mailbox import Mailbox, newest_counts
from bench.dashboard.work.operator import Answer
from bench.dashboard.work.reckoning import Reckoning
from bench.dashboard.work.worker import Work, Worker
from bench.job.bench_file import BenchFile
from bench.sitting.meters import asked_meters
from bench.sitting.opening import counter_use, open_job, open_store
from bench.sitting.problems import BadInput
from bench.sitting.test_stands import TestStands, test_stands
from bench.sitting.winding_record import windings_stand

__all__ = ["NOT_AT_THE_BENCH", "Desk"]

NOT_AT_THE_BENCH = "nothing is at the bench any more: not kept"
"""Why an order was not taken."""

_log = logging.getLogger(__name__)
_LOOK_AT_FILE_S = 1.0


class Desk:
    """No widget and no Qt: the window asks it to `tick` thirty times a second, and draws `state`.

    One work at a time is at the bench.  bench: what the person owns.
    """

    def __init__(self, bench: BenchFile, clock: Callable[[], float] = time.monotonic) -> None:
        self.bench = bench
        self.state = Snapshot()
        self._clock = clock
        self._mailbox = Mailbox(clock)
        self._reckoning = Reckoning(self._mailbox)
        self._worker: Worker | None = None
        self._looked = 0.0
        self._stamp: tuple[int, int] | None = None

    def tick(self) -> Snapshot:
        """Take in what came."""
        for news, at in newest_counts(self._mailbox.drain()):
            try:
                self.state = advance(self.state, news, at)
            except Exception as error:
                # One piece of news that can't be taken in must not take the others with it.
                _log.exception("news were not taken in: %r", news)
                self.tell(f"the window could not take something in ({error}); its trace is in the log", grave=True)
        if self._worker is not None and not self._worker.is_alive() and not self.state.doing:
            self._worker = None
        if self._clock() - self._looked >= _LOOK_AT_FILE_S:
            self._looked = self._clock()
            self._look_at_file()
        return self.state

    @property
    def busy(self) -> bool:
        """Whether a work is at the bench."""
        return self._worker is not None and self._worker.is_alive()

    # -- the job -----------------------------------------------------------------------------------

    def open_job(self, path: Path) -> None:
        """Raises BadInput with every problem."""
        job = open_job(path)
        self._stamp = _stamp_of(path)
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as problem:  # it was there a moment ago
            raise BadInput(f"{path}: can't be read: {problem}") from None
        self._take(told.JobOpened(path, job, text))
        self.look_at_record()

    def look_at_record(self) -> None:
        """Where the windings and the test stand by it."""
        job = self.state.job
        if job is None:
            return

        def look() -> None:
            with open_store() as store:
                self._mailbox.post(told.WindingsStand(windings_stand(store, job)), self._clock(), 1.0)

        def look_at_test() -> TestStands | None:
            with open_store() as store:
                return test_stands(store, job.identity.number)

        self._reckoning.ask("windings", look)
        self._reckoning.ask(TEST_STANDS, look_at_test)

    def choose_counter(self, text: str) -> None:
        """The strip shows what will be opened; empty for none.  Nothing changes under a work at the bench."""
        if self.busy:
            return
        use = counter_use(self.bench, text)
        self._take(told.InstrumentsChosen("counter", (("", use),) if use else ()))

    def choose_meters(self, texts: tuple[str, ...]) -> None:
        """Each as METER or ROLE=METER; raises BadInput."""
        if self.busy:
            return
        chosen = asked_meters(self.bench, texts).by_role
        self._take(told.InstrumentsChosen("meter", tuple((role, entry.use) for role, entry in chosen.items())))

    # -- work at the bench -------------------------------------------------------------------------

    def begin(self, work: Work) -> None:
        """Raises BadInput while another work is at the bench."""
        if self.busy:
            raise BadInput(f"{self.state.doing or 'a work'} is at the bench, expected it ended first")
        self._worker = Worker(work, self._mailbox)
        self._worker.start()

    def say(self, order: object) -> bool:
        """To the work at the bench; False where there is none any more, and it was said to nobody."""
        if self._worker is None or not self._worker.is_alive():
            return False
        self._worker.orders.say(order)
        return True

    def stop(self, reason: str) -> None:
        """The test stops at the next thing that it asks for, though no person is asked for it."""
        if self._worker is not None:
            self._worker.orders.stop(reason)

    def zero_is_confirmed(self) -> None:
        """A person says, after the work is over, that the volts are at zero and the unit is unplugged."""
        self._take(told.ZeroConfirmed())
        self.tell("Volts at zero, as you say. Discharge it before you touch a lead.")

    @property
    def asked_for_s(self) -> float:
        """Seconds since what is asked just now came."""
        return self._clock() - self.state.awaiting_since

    def reply(self, reply: Reply) -> None:
        """To what is asked just now; a second reply to one asking is for nobody."""
        awaiting = self.state.awaiting
        if awaiting is not None and not awaiting.keyless:
            self.say(Answer(awaiting.number, reply))

    def end_work(self) -> None:
        """It is left at its next word, and all of it is kept; does not wait."""
        if self._worker is not None:
            self._worker.end()

    # -- beside it ---------------------------------------------------------------------------------

    def reckon(self, name: str, what: Callable[[], Any]) -> None:
        """Its value is in the state under its name, some time later."""
        self._reckoning.ask(name, what)

    def keep(self, name: str, what: Callable[[], Any]) -> None:
        """The same for what is written: each is done, in order, even when the window is closed meanwhile."""
        self._reckoning.keep(name, what)

    def tell(self, words: str, *, grave: bool = False) -> None:
        """A line for the person, at once."""
        self._take(told.Said(words, grave=grave))

    def tell_from_elsewhere(self, words: str, *, grave: bool = False) -> None:
        """The same, from any thread."""
        self._mailbox.post(told.Said(words, grave=grave), self._clock(), 1.0)

    def close(self) -> None:
        """Everything is put away; waits for the work to see that it is over."""
        self.end_work()
        if self._worker is not None:
            self._worker.join()
        self._reckoning.close()

    def _take(self, news: told.News) -> None:
        self.state = advance(self.state, news, self._clock())

    def _look_at_file(self) -> None:
        """A job that somebody edited meanwhile is read anew; never under a work at the bench."""
        path = self.state.path
        if path is None or self.busy:
            return
        stamp = _stamp_of(path)
        if stamp is None or stamp == self._stamp:
            return
        self._stamp = stamp
        try:
            self.open_job(path)
        except BadInput as problem:
            self.tell(f"{problem}; the job as it was read before stands", grave=True)


def _stamp_of(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size
