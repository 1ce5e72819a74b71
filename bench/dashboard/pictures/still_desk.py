"""A desk at which nothing moves by itself: what is reckoned is there at once, and no work begins."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bench.dashboard import news as told
from bench.dashboard.desk import Desk
from bench.dashboard.state import Snapshot
from bench.dashboard.work.reckoning import Reckoning
from bench.dashboard.work.worker import Work
from bench.job.bench_file import BenchFile
from drivers.ports import PortInfo

__all__ = ["NOW", "StillDesk"]

NOW = 1000.0
"""The moment [s, monotonic] at which everything is told."""
_ROUNDS = 6


class StillDesk(Desk):
    """Its clock stands at NOW."""

    def __init__(self, bench: BenchFile) -> None:
        self._put = False
        super().__init__(bench, clock=lambda: NOW)
        self._reckoning.close()
        self._reckoning = _AtOnce(self._mailbox)

    @property
    def busy(self) -> bool:
        return bool(self.state.doing)

    def begin(self, work: Work) -> None:
        self.tell(f"{work.doing} is not begun in a picture")

    def put(self, state: Snapshot) -> None:
        """From now on the state is this one, whatever the record says."""
        self.state = state
        self._put = True

    def look_at_record(self) -> None:
        if not self._put:
            super().look_at_record()

    def take_in(self, show: Callable[[Snapshot], None]) -> None:
        """Show the state, and what was reckoned because of it, until nothing more comes."""
        for _ in range(_ROUNDS):
            before = self.state
            show(before)
            self.tick()
            if self.state is before:
                return


_PORTS = (
    PortInfo("/dev/ttyACM0", None, "Turn Board R1", "1209:0001", "0007", True, None, None),
    PortInfo("/dev/ttyUSB0", None, "Bench Meter 4", "1209:0002", "0417", True, None, None),
    PortInfo("/dev/ttyUSB1", None, "Bench Meter 4", "1209:0002", "0418", False, "dialout", None),
)
"""Invented: those of this machine are nobody's picture."""


class _AtOnce(Reckoning):
    def ask(self, name: str, reckon: Callable[[], Any]) -> None:
        if name == "ports":
            self._mailbox.post(told.Reckoned(name, _PORTS), NOW, 0.0)
            return
        try:
            found = told.Reckoned(name, reckon())
        except Exception as error:  # as beside the window: the reason in a line
            found = told.Reckoned(name, None, str(error) or type(error).__name__)
        self._mailbox.post(found, NOW, 0.0)
