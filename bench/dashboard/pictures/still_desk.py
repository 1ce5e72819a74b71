"""A desk at which nothing moves by itself: what is reckoned is there at once, and no work begins."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, TypeGuard

from bench.dashboard import news as told
from bench.dashboard.design.reckoned import design_shown, on_load_shown
from bench.dashboard.desk import Desk
from bench.dashboard.state import Snapshot
from bench.dashboard.survey.reckoned import survey_shown
from bench.dashboard.work.mailbox import Mailbox
from bench.dashboard.work.reckoning import Reckoning
from bench.dashboard.work.worker import Work
from bench.job.bench_file import BenchFile
from drivers.ports import PortInfo

__all__ = ["NOW", "Known", "StillDesk"]

Known = list[tuple["partial[Any]", told.Reckoned]]
"""What was asked for, and what came of it."""

NOW = 1000.0
"""The moment [s, monotonic] at which everything is told."""
_ROUNDS = 6


class StillDesk(Desk):
    """Its clock stands at NOW.

    known: what other desks had reckoned, and what this one adds: a design takes its time, and is the same in each
    picture of its job.
    """

    def __init__(self, bench: BenchFile, known: Known) -> None:
        self._put = False
        super().__init__(bench, clock=lambda: NOW)
        self._reckoning.close()
        self._reckoning = _AtOnce(self._mailbox, known)

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
    def __init__(self, mailbox: Mailbox, known: Known) -> None:
        super().__init__(mailbox)
        self._known = known

    def ask(self, name: str, reckon: Callable[[], Any]) -> None:
        if name == "ports":
            self._mailbox.post(told.Reckoned(name, _PORTS), NOW, 0.0)
            return
        found = self._found_before(name, reckon)
        if found is None:
            try:
                found = told.Reckoned(name, reckon())
            except Exception as error:  # as beside the window: the reason in a line
                found = told.Reckoned(name, None, str(error) or type(error).__name__)
            if _hangs_on_its_arguments(reckon):
                self._known.append((reckon, found))
        self._mailbox.post(found, NOW, 0.0)

    def _found_before(self, name: str, reckon: Callable[[], Any]) -> told.Reckoned | None:
        if not _hangs_on_its_arguments(reckon):
            return None
        for other, found in self._known:
            same = (other.func, other.args, other.keywords) == (reckon.func, reckon.args, reckon.keywords)
            if same and found.name == name:
                return found
        return None


def _hangs_on_its_arguments(reckon: Callable[[], Any]) -> TypeGuard[partial[Any]]:
    """Which name the record as it was read too: what looks at disk or ports finds something new each time."""
    return isinstance(reckon, partial) and reckon.func in (design_shown, on_load_shown, survey_shown)
