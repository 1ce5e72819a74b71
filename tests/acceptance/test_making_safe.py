"""However a test ends, somebody is asked to take the volts off: also where it breaks in the middle."""

from __future__ import annotations

import json
from typing import Any

import pytest

from bench.acceptance.ask import Reply
from bench.acceptance.requests import Excite, OperatorRequest, Take
from bench.acceptance.session import TestSession
from drivers.reading import Reading
from tests.acceptance.test_resuming import LENGTH, Room, _procedure


class DiskFull(Exception):
    """The record can't be written."""


class Broken(Room):
    """A bench where something breaks at the n-th ask or reading, or at the n-th entry of the record."""

    at_ask = at_entry = 10**9
    breaks: BaseException = DiskFull("no space left")

    def __post_init__(self) -> None:
        super().__post_init__()
        self.offs: list[Excite] = []
        self.kept = 0
        self.live = False

    def run_once(self) -> None:
        self.asked.append([])
        self._left = 10**9
        TestSession(_procedure(), self, self, self._keep).run()

    def make_safe(self, request: Excite) -> None:
        self.offs.append(request)
        self.live = False

    def ask(self, request: OperatorRequest) -> Reply:
        if isinstance(request, Excite):
            self.live = self.live or request.volts > 0  # from the moment that it is asked for
        self._break_at(len(self.asked[-1]) + 1 >= self.at_ask)
        reply = super().ask(request)
        if isinstance(request, Excite) and request.volts == 0:
            self.live = False
        return reply

    def take(self, take: Take, *rest: Any) -> Reading:
        self._break_at(len(self.asked[-1]) + 1 >= self.at_ask)
        return super().take(take, *rest)

    def _keep(self, kind: str, body: dict[str, Any]) -> None:
        self.kept += 1
        self._break_at(self.kept >= self.at_entry)
        super()._keep(kind, json.loads(json.dumps(body)))

    def _break_at(self, now: bool) -> None:
        if now:
            raise self.breaks


@pytest.mark.parametrize("breaks", [DiskFull("no space left"), KeyboardInterrupt(), SystemExit(1)])
@pytest.mark.parametrize("at", range(2, LENGTH, 23))
def test_whatever_breaks_at_the_bench_the_volts_are_asked_off(at: int, breaks: BaseException) -> None:
    room = Broken()
    room.at_ask, room.breaks = at, breaks
    with pytest.raises(type(breaks)):
        room.run_once()
    assert not room.live
    assert all(one.volts == 0 for one in room.offs)


def test_a_record_that_can_not_be_written_in_the_middle_leaves_nothing_live() -> None:
    whole = Broken()
    whole.run_once()
    assert whole.offs == []
    asked_off = 0
    for at in range(1, whole.kept, 9):
        room = Broken()
        room.at_entry = at
        with pytest.raises(DiskFull):
            room.run_once()
        assert not room.live
        asked_off += len(room.offs)
    assert asked_off > 3, "the unit was live at none of these breaks"


def test_what_broke_the_test_off_is_told_though_nobody_takes_the_volts_off() -> None:
    class Deaf(Broken):
        def make_safe(self, request: Excite) -> None:
            raise OSError("the fixture is gone")

    room = Deaf()
    room.at_ask = LENGTH // 2
    with pytest.raises(DiskFull, match="no space left"):
        room.run_once()
