"""A winding machine's desk for tests: a board, a record, and the session of the program that is there now."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from bench.job.winding import Role, Tap, Winding
from bench.winding.orders import carried_out, order_of
from bench.winding.session import WindingSession
from bench.winding.state import WindingState, state_of
from drivers.counting import Count
from drivers.countline import HallLine, Hello
from drivers.joiner import CountJoiner
from drivers.profile_files import load_counter_profile

WINDING = Winding(name="ht", role=Role.SECONDARY, turns=100, layers=(40, 40, 20), taps=(Tap(name="centre", turn=50),))
PER = 8
HALL = load_counter_profile("hall")


class Board:
    """A board that goes on counting while programs come and go, and the counter of the program that is there."""

    def __init__(self, sensors: int = 2) -> None:
        self.edges = 0
        self.number = 0
        self.sensors = sensors
        self.joiner = CountJoiner(HALL)
        self.sit_down(None)

    def sit_down(self, saved: Any) -> None:
        """A new program opens the port."""
        self.joiner = CountJoiner(HALL)
        if saved is None:
            self.joiner.set_count(0.0, "a new winding", 0.0)
        else:
            self.joiner.restore(saved)
        self.joiner.feed(Hello("1", self.sensors, 2, 1, ""), 0.0)

    def turn(self, turns: float) -> None:
        self.edges += round(turns * PER)
        self.number += 10

    # what a session needs of a counter

    def poll(self, timeout_s: float) -> Sequence[Any]:
        self.number += 1
        at = self.number * 0.5
        raw = f"{self.number} {self.edges}"
        return self.joiner.feed(HallLine(1, self.number, int(at * 1000), self.edges, PER, raw), at, at)

    def snapshot(self) -> Any:
        saved = self.joiner.snapshot()
        return None if saved is None else json.loads(json.dumps(saved))

    @property
    def count(self) -> Count | None:
        return self.joiner.count

    @property
    def doubtful(self) -> float:
        return self.joiner.doubtful

    def set_count(self, turns: float, reason: str) -> Any:
        return self.joiner.set_count(turns, reason, 0.0)

    def leave_out(self, turns: float) -> None:
        self.joiner.leave_out(turns)

    def turn_sense(self) -> None:
        self.joiner.turn_sense()

    def wound_back(self, turns: float) -> None:
        self.joiner.wound_back(turns)


class Desk:
    """Record, board and the session that is there now; `sit_down` is a program that was killed and started again."""

    def __init__(self, sensors: int = 2) -> None:
        self.entries: list[tuple[str, Any, str]] = []
        self.board = Board(sensors)
        self.session = self._session(WindingState("ht", target=100, begun=True))
        self.turn(0.0)

    @property
    def kept(self) -> WindingState:
        return state_of("ht", self.entries)

    def sit_down(self) -> None:
        state = self.kept
        self.board.sit_down(state.counter)
        self.session = self._session(state)
        self.turn(0.0)

    @classmethod
    def killed_after(cls, desk: Desk, entries: int) -> Desk:
        """The same bench, had the program been killed after so many entries."""
        other = cls()
        other.entries = desk.entries[:entries]
        other.board.edges, other.board.number = desk.board.edges, desk.board.number
        other.sit_down()
        return other

    def turn(self, turns: float) -> None:
        self.board.turn(turns)
        self.session.turn_over()

    def say(self, line: str) -> str:
        return carried_out(self.session, order_of(line))

    @property
    def turns(self) -> float:
        assert self.session.progress is not None
        return self.session.progress.turns

    def _session(self, state: WindingState, *, asks: bool = False) -> WindingSession:
        def keep(kind: str, body: dict[str, Any]) -> None:
            self.entries.append((kind, json.loads(json.dumps(body)), ""))

        return WindingSession(WINDING, 100, self.board, keep, state=state, rest=1e9, asks_of_travel=asks)
