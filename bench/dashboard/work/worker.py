"""A work at the bench in a thread of its own: whatever becomes of it, it says so and puts everything away."""

from __future__ import annotations

import logging
import threading
from typing import Protocol

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge, Closed
from bench.dashboard.work.mailbox import Mailbox
from bench.dashboard.work.orders import Orders
from bench.design.expected import NotEnough
from bench.job.file import FileProblem
from bench.records.problem import RecordProblem
from bench.sitting.problems import BadInput, InstrumentTrouble
from drivers.errors import DriverError

__all__ = ["Work", "Worker"]

_log = logging.getLogger(__name__)
_TOLD = (BadInput, InstrumentTrouble, RecordProblem, DriverError, FileProblem, NotEnough)
"""What a person can do something about; anything else is a fault of the program, and its trace goes to the log."""


class Work(Protocol):
    """What is done at the bench: `doing` in a word; `run` until it is over, raising Closed when nobody waits for it."""

    @property
    def doing(self) -> str: ...

    def run(self, bridge: Bridge, orders: Orders) -> None: ...


class Worker(threading.Thread):
    """bridge, orders: between it and the window."""

    def __init__(self, work: Work, mailbox: Mailbox) -> None:
        super().__init__(name=work.doing, daemon=True)
        self._work, self._mailbox = work, mailbox
        self.bridge, self.orders = Bridge(mailbox), Orders()

    @property
    def doing(self) -> str:
        return self._work.doing

    def end(self) -> None:
        """It ends at its next word; does not wait for it."""
        self.orders.close()
        self.bridge.close()

    def run(self) -> None:
        problem = ""
        try:
            # Not through the bridge: what was begun to keep something does so, though it is left at once.
            self._mailbox.post(told.WorkBegun(self.doing), self._mailbox.clock(), 1.0)
            self._work.run(self.bridge, self.orders)
        except Closed:
            _log.info("%s was left before its end", self.doing)
        except _TOLD as error:
            problem = str(error)
        except BaseException as error:
            _log.exception("%s failed", self.doing)
            problem = f"{self.doing} failed: {type(error).__name__}: {error}; what was kept is kept"
        while not self._mailbox.post(told.WorkEnded(self.doing, problem), self._mailbox.clock(), 1.0):
            if self.bridge.closed:
                return
