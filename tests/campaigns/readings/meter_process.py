"""The process that has the meter, the line and the truth: it knows what the last readings were meant to be."""

from __future__ import annotations

import random
import time
from collections import Counter
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from tests.drivers.thirty.meters import Chunks, UniqueMeter
from tests.drivers.thirty.peer import PtyMeter

from .faults import LINE_FAULTS, MEANT

__all__ = ["NAMES", "serve"]

NAMES = ("a", "b")
"""Under which the port may be met."""

_IDENTITY, _STRANGER = b"NOBODY,TM6,0042,1.0", b"NOBODY,TM6,0043,1.0"
_METER_FAULTS = (17, 23, 24, 25, 27, 28, 30)
_OF_ANY_ANSWER = (*LINE_FAULTS, *_METER_FAULTS)
_CASES = (*_OF_ANY_ANSWER, *MEANT)
_WHOLE = (b"self test passed\nready\n", b"+6.31000000E+00\n")
_HALVES = (b"ODY,TM6,0042,1.0\n", b"+6.3000,")
"""What may lie in front of the first answer on a line that was opened anew."""
_MORE_LINES = (2, 13, 14, 22)
"""A line too many may come after the next query. Were the answer to that lost, nobody could tell: so it is spared."""
_TICK_S = 0.005


def serve(pipe: Connection, folder: str, seed: int, rate: float, deadline_s: float) -> None:
    """Until the pipe says `end`. `go` and `quiet` let faults begin and rest; `judge` is answered with what the last
    so many readings were meant to be; `end` with how often each case came."""
    bench = _Bench(Path(folder), random.Random(seed), rate, deadline_s)
    try:
        pipe.send("plugged in")
        while True:
            bench.tick()
            if not pipe.poll(_TICK_S):
                continue
            request = pipe.recv()
            match request:
                case ("judge", int(many)):
                    pipe.send(bench.meter.given[-many:])
                case "go" | "quiet":
                    bench.faulty = request == "go"
                    pipe.send(request)
                case _:
                    pipe.send(dict(bench.came))
                    return
    except EOFError:
        return
    finally:
        bench.port.kill()


class _Bench:
    """A meter that means what it says, behind a line and a port that do not carry it faithfully."""

    def __init__(self, folder: Path, rng: random.Random, rate: float, deadline_s: float) -> None:
        self.folder, self.rng, self.rate, self.deadline_s = folder, rng, rate, deadline_s
        self.meter, self.stranger = UniqueMeter(_IDENTITY), UniqueMeter(_STRANGER)
        self.faulty = False
        self.came: Counter[int] = Counter()
        self.name = NAMES[0]
        self.behind = self.meter
        self.stale_at_first = b""
        self.damaged_digit = self.spared = False
        self.endless_errors = 0
        self.until: dict[str, float] = {}
        self.port = self._plug()

    # -- of the main thread --------------------------------------------------------------------------

    def tick(self) -> None:
        """Let what is over end; plug in again what has hung up."""
        now = time.monotonic()
        for what in [what for what, end in self.until.items() if now >= end]:
            del self.until[what]
            if what == "mute":
                self.meter.power_on()
                self.meter.mute = False
            elif what == "deaf":
                self.port.turn_deaf(False)
            elif what == "stranger":
                self.behind = self.meter
                self.port.hang_up()
            elif what == "away":
                self.port = self._plug()
        if self.port.ended() and "away" not in self.until:
            self.port.kill_and_unplug()
            self.name = self.rng.choice(NAMES)
            self.until["away"] = now + self.rng.choice((0.0, 0.02, 0.3))

    def _plug(self) -> PtyMeter:
        if self.faulty:
            # cases 3 to 5: what lies on the line when it is opened, and in the meter
            self.stale_at_first = self.rng.choice((b"", *_WHOLE, *_HALVES))
        port = PtyMeter(self.folder / self.name, self.hear)
        if self.faulty:
            half = self.rng.choice((b"", b"CONF:VOLT:D", b"READ?", b"*ID"))
            if self.stale_at_first:
                self.came[3 if self.stale_at_first in _WHOLE else 4] += 1
            self.came[5] += bool(half)
            port.earlier_program_says(half)
        return port

    # -- of the peer's thread ------------------------------------------------------------------------

    def hear(self, message: str) -> Chunks:
        """What comes over the line for a message."""
        stale, self.stale_at_first = self.stale_at_first, b""
        front: Chunks = [(0.0, stale)] if stale else []
        if message == "SYST:ERR?" and self.endless_errors > 0:
            self.endless_errors -= 1
            return [*front, (0.0, b'-350,"Queue overflow"\n')]
        if self.behind is self.stranger:
            return front + self.stranger.hear(message)
        answers = self.meter.hear(message)
        spared, self.spared = self.spared, False
        if not answers or not self.faulty or spared or self.rng.random() >= self.rate:
            return front + answers
        case = self.rng.choice(_CASES if message == "READ?" else _OF_ANY_ANSWER)
        self.spared = case in _MORE_LINES
        self.came[case] += 1
        return front + self._fault(case, message, answers[0][1])

    def _fault(self, case: int, message: str, answer: bytes) -> Chunks:
        if case in MEANT:
            meant = self.rng.choice(MEANT[case])(self.rng)
            self.meter.given[-1] = meant.decode("ascii")
            # the next answer says the same, or the reading would not have settled on it
            if self.rng.random() < 0.7:
                self.meter.line_faults.append(self._meaning(meant))
            return [(0.0, meant + b"\n")]
        if case in LINE_FAULTS:
            if case == 10 and message == "READ?" and self.rng.random() < 0.3 and not self.damaged_digit:
                # never twice alike in a row: two answers that agree are a value, whatever was meant
                self.damaged_digit = True
                return [(0.0, answer.replace(b"6.", b"7."))]
            self.damaged_digit = False
            return self.rng.choice(LINE_FAULTS[case])(answer, self.rng, self.deadline_s)
        return self._misbehave(case, answer)

    def _meaning(self, meant: bytes) -> Any:
        def fault(_: bytes) -> Chunks:
            self.meter.given[-1] = meant.decode("ascii")
            return [(0.0, meant + b"\n")]

        return fault

    def _misbehave(self, case: int, answer: bytes) -> Chunks:
        now, rng = time.monotonic(), self.rng
        match case:
            case 17:
                self.meter.errors.append(b'-214,"Trigger deadlock"')
                return []
            case 23:
                self.meter.power_on()
                return rng.choice(([(0.0, answer)], [(0.0, b"boot 2.1\n")], []))
            case 24 | 25:
                if case == 25 and rng.random() < 0.5:
                    self.behind = self.stranger
                    self.until["stranger"] = now + rng.uniform(0.1, 0.5)
                self.meter.power_on()
                self.port.hang_up()
                return [(0.0, answer[: rng.randrange(len(answer))])]
            case 27:
                self.port.turn_deaf()
                self.until["deaf"] = now + self.deadline_s * rng.uniform(0.5, 6.0)
            case 28:
                self.meter.mute = True
                self.until["mute"] = now + self.deadline_s * rng.uniform(0.5, 20.0)
                return []
            case 30:
                self.endless_errors = rng.choice((5, 50, 500))
        return [(0.0, answer)]
