"""A counter: a link and a form of line that together give a count which survives both."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from types import TracebackType
from typing import Protocol, Self

from drivers.board_aim import BoardAim
from drivers.counter_profile import CounterProfile, LineForm
from drivers.counting import LinkCameBack, LinkWentAway
from drivers.countline import Answer, Hello, decoder_for
from drivers.errors import LinkLost
from drivers.joiner import (
    BadLine,
    Bounded,
    Bridged,
    Broken,
    Corrected,
    Count,
    CountJoiner,
    JoinerEvent,
)
from drivers.steady_clock import steady_clock

__all__ = [
    "BadLine",
    "Bounded",
    "Bridged",
    "Broken",
    "Corrected",
    "Count",
    "Counter",
    "CounterEvent",
    "LinkCameBack",
    "LinkWentAway",
]

_log = logging.getLogger(__name__)
_ASK_EVERY_S = 2.0
_ASK_QUICKLY = 5
_ASK_SELDOM_S = 60.0
_GAP_S = 0.003
"""Silence [s] after which nothing is left that lay ready: it comes at once, or a packet each millisecond by USB, and a
board sends a line each 10 ms at most."""
_MOST_LYING = 65_536
"""Bytes that systems and adapters keep of a line that nobody reads, and more."""
_CAUGHT_UP = 2048  # a reading of fewer bytes left nothing behind in the system's buffer (4 kB)


CounterEvent = JoinerEvent | LinkWentAway | LinkCameBack


class _Line(Protocol):
    @property
    def is_open(self) -> bool: ...
    @property
    def port(self) -> str: ...
    @property
    def log_problem(self) -> str: ...
    def open(self) -> None: ...
    def close(self) -> None: ...
    def send(self, data: bytes) -> None: ...
    def receive(self, timeout_s: float) -> bytes: ...
    def reopen(self, within_s: float = 0.0) -> None: ...


class Counter:
    """Poll it; it gives counts and tells what happened to them. One owner; opens and closes its link."""

    def __init__(
        self,
        link: _Line,
        profile: CounterProfile,
        *,
        joiner: CountJoiner | None = None,
        clock: Callable[[], float] = steady_clock,
    ) -> None:
        self.profile = profile
        self._link = link
        self._joiner = joiner or CountJoiner(profile)
        self._decoder = decoder_for(profile)
        self._clock = clock
        self._hello: Hello | None = None
        self._caught_up_at = 0.0
        self._asked = 0
        self._ask_next = 0.0
        self._away_since: float | None = None
        self._port = link.port
        self._board = BoardAim()
        self._aim: tuple[float, float] | None = None
        self._heard = False
        self._wants_newest = False
        self._boot: int | None = None

    @property
    def count(self) -> Count | None:
        """The last count; None before the first line."""
        return self._joiner.count

    @property
    def identity(self) -> str | None:
        """What the board says of itself, where it says something."""
        return self._hello.raw if self._hello is not None else None

    @property
    def board(self) -> str | None:
        """Which board it is by its own word, which no restart and no other port changes."""
        return self._hello.board if self._hello is not None else None

    def open(self) -> None:
        """Open the line; raises PortMissing, PortDenied, PortBusy or LinkLost. Later losses never raise."""
        self._link.open()
        self._begin()
        self._ask_identity()

    def close(self) -> None:
        """Close the line; never raises. The board goes on counting."""
        self._link.close()

    @property
    def listening(self) -> bool:
        """Whether lines have come since the port was opened: what a person says of the count holds for the last one."""
        return self._away_since is None and (self._heard or self._joiner.count is None)

    @property
    def sends_at_rest(self) -> bool:
        """Whether silence tells that something is wrong."""
        plain = self.profile.plain
        return plain is None or plain.period_s > 0

    def poll(self, timeout_s: float) -> list[CounterEvent]:
        """What came within `timeout_s`, in order; returns as soon as something did.

        A lost port is told once, looked for with back-off inside this call, and told again when back.
        """
        if self._away_since is not None:
            return self._look_for_it(timeout_s)
        try:
            if self._hello is None and self._clock() >= self._ask_next:
                self._ask_identity()
            self._tell_aim()
            looked = self._clock()
            data = self._link.receive(timeout_s)
            if self._wants_newest:
                data = self._newest(data)
        except LinkLost as lost:
            _log.warning("%s", lost)
            self._away_since = self._clock()
            return [LinkWentAway(str(lost), self._away_since)]
        return self._take(data, looked)

    def set_count(self, turns: float, reason: str) -> Corrected:
        """A person says where the coil stands; the count is exact again from here.  Raises ValueError while the line is
        away, as the other words do: what the spindle did since its last line is not known."""
        self._need_line()
        self._wants_newest = self._joiner.count is None
        return self._joiner.set_count(turns, reason, self._clock())

    def leave_out(self, turns: float) -> None:
        """So many turns of the spindle, signed, were none of the coil's."""
        self._need_line()
        self._joiner.leave_out(turns)

    def turn_sense(self) -> None:
        """From here on the counter's number rises as turns come off, or again as they go on; at rest."""
        self._need_line()
        self._joiner.turn_sense()

    def wound_back(self, turns: float) -> None:
        """Of what one sensor may have counted the wrong way `turns` came off, and the rest went on."""
        self._need_line()
        self._joiner.wound_back(turns)

    @property
    def sense(self) -> int:
        """+1, or -1 where the counter's number rises as turns come off."""
        return self._joiner.sense

    @property
    def doubtful(self) -> float:
        """Turns that a counter with one sensor may have counted the wrong way."""
        return self._joiner.doubtful

    @property
    def tells_direction(self) -> bool:
        return self._joiner.tells_direction

    def aim(self, turns: float, warn: float) -> None:
        """Let a board that can be told know the target, and so many turns before it from which to warn: it sounds its
        buzzer and drops its run output by itself."""
        self._aim = (turns, warn)

    @property
    def board_knows_aim(self) -> bool:
        """Whether the board has answered that it took the target."""
        return self._aim is not None and self._board.known_to_board

    @property
    def log_problem(self) -> str:
        """Why the bytes on the line can't be kept any more; empty while they are, or where nobody asked for it."""
        return self._link.log_problem

    def snapshot(self) -> dict[str, object] | None:
        """A JSON-able dictionary to go on from after this program ended; None before the first line."""
        return self._joiner.snapshot()

    def restore(self, saved: Mapping[str, object]) -> None:
        """Go on from a snapshot, before the first poll; raises ValueError for what is none."""
        self._joiner.restore(saved)

    def __enter__(self) -> Self:
        self.open()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _newest(self, data: bytes) -> bytes:
        """Of all that lies ready the last whole line, and what follows it.

        Where the coil stands is said of now. What a board sent while nobody listened waits in its buffer and in the
        system's: counted from its first line, whatever the spindle turned meanwhile would be on the coil.
        """
        while data and len(data) < _MOST_LYING:
            # a plain counter may send a line for each edge, without a pause at speed: only what is there at once
            more = self._link.receive(0.0 if self.profile.plain is not None else _GAP_S)
            if not more:
                break
            data += more
        end = data.rfind(b"\n")
        if end < 0:
            return data
        self._wants_newest = False
        return data[data.rfind(b"\n", 0, end) + 1 :]

    def _take(self, data: bytes, looked: float) -> list[CounterEvent]:
        """looked: when the reading began. What comes with the next one came after it, however long this program was
        held up in between."""
        at = self._clock()
        events: list[CounterEvent] = []
        for decoded in self._decoder.feed(data):
            if isinstance(decoded, Hello):
                self._hello = decoded
            elif isinstance(decoded, Answer):
                self._board.answered(decoded)
            events += self._joiner.feed(decoded, at, self._caught_up_at)
            self._heard = True
        if self._joiner.boot != self._boot:
            # a new start, or another board: it is to say who it is
            if self._boot is not None and (self._hello is None or self._hello.boot != self._joiner.boot):
                self._hello, self._asked, self._ask_next = None, 0, at
            self._boot = self._joiner.boot
        if len(data) < _CAUGHT_UP:
            self._caught_up_at = looked
        return events

    def _look_for_it(self, timeout_s: float) -> list[CounterEvent]:
        try:
            self._link.reopen(timeout_s)
        except LinkLost:
            return []
        now = self._clock()
        away = now - self._away_since if self._away_since is not None else 0.0
        self._away_since = None
        self._joiner.link_back()
        self._board.line_came_back()
        self._begin()
        other = self._link.port if self._link.port != self._port else ""
        self._port = self._link.port
        return [LinkCameBack(away, now, other)]

    def _begin(self) -> None:
        self._decoder.restart()
        self._heard = False
        self._caught_up_at = self._clock()
        # the board may have been exchanged for one with another number of sensors
        self._asked = 0
        self._ask_next = self._clock()
        self._hello = None

    def _tell_aim(self) -> None:
        if self._aim is None or self.profile.form is not LineForm.HALL:
            return
        turns, warn = self._aim
        if self._joiner.sense < 0:
            return  # its number falls towards the target, and it stops at what rises
        edges, boot, per = self._joiner.edges_at(turns), self._joiner.boot, self._joiner.edges_per_turn
        if edges is None or boot is None or per is None:
            return
        data = self._board.due(boot, edges, round(warn * per), self._clock())
        if data is not None:
            self._link.send(data)

    def _need_line(self) -> None:
        if not self.listening:
            raise ValueError("the counter's line is away, expected it back first")

    def _ask_identity(self) -> None:
        """A board that does not answer is asked more and more seldom: how many sensors it has is worth much."""
        if self.profile.identify is None:
            return
        self._asked += 1
        seldom = _ASK_EVERY_S * 2.0 ** max(0, self._asked - _ASK_QUICKLY)
        self._ask_next = self._clock() + min(seldom, _ASK_SELDOM_S)
        self._link.send(self.profile.identify.encode("ascii", "replace") + b"\n")
