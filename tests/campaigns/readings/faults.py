"""What may become of an answer on its way, drawn from the thirty cases."""

from __future__ import annotations

import random
from collections.abc import Callable

from tests.drivers.thirty.meters import Chunks
from tests.drivers.thirty.wrong_frames import as_seen_at, with_parity

__all__ = ["LINE_FAULTS", "MEANT", "LineFault", "Meant"]

LineFault = Callable[[bytes, random.Random, float], Chunks]
"""Answer, randomness, the deadline for one answer [s] -> what comes instead; the meter meant the answer."""

Meant = Callable[[random.Random], bytes]
"""What the meter means in the place of a number."""


def _late(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(deadline * rng.uniform(0.9, 5.0), answer)]


def _stale_in_front(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    # of the size of the answer before, so that it would pass for the value
    stale = answer.replace(b"00E+00", b"77E+00")
    return [(0.0, stale), (rng.choice((0.0, 0.0005, 0.002, 0.01)), answer)]


def _cut(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, answer[: rng.randrange(1, len(answer))])]


def _paused(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    place = rng.randrange(1, len(answer))
    return [(0.0, answer[:place]), (deadline * rng.uniform(0.1, 3.0), answer[place:])]


def _nul_inside(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    place = rng.randrange(len(answer))
    return [(0.0, answer[:place] + b"\0" + answer[place:])]


def _garbage(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, bytes(rng.randrange(128, 256) for _ in range(rng.randint(1, 8))) + answer)]


def _no_digit(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    place = rng.randrange(len(answer) - 1)
    return [(0.0, answer[:place] + rng.choice((b"x", b"?", b"~")) + answer[place + 1 :])]


def _parity(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, with_parity(answer, rng.choice(("even", "odd", "mark"))))]


def _rate(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, as_seen_at(answer, 9600, rng.choice((1200, 4800, 19200, 115200))))]


def _twice(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    place = rng.choice((0, rng.randrange(len(answer))))
    return [(0.0, answer + answer[:place]), (rng.choice((0.0, 0.0005, 0.003, 0.02)), answer[place:])]


def _unasked(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    line = rng.choice((b"READY\n", b"battery low\n", b"+6.31000000E+00\n"))
    pause = rng.choice((0.0, 0.001, 0.01))
    return rng.choice(([(0.0, line), (pause, answer)], [(0.0, answer), (pause, line)]))


def _empty(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, rng.choice((b"\n", b"\r\n", b"\n\n"))), (rng.choice((0.0, 0.01)), answer)]


def _nothing(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return []


def _drip(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    pause = deadline * rng.uniform(0.2, 2.0) / len(answer)
    return [(pause, answer[place : place + 1]) for place in range(len(answer))]


def _other_end(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, answer.replace(b"\n", rng.choice((b"\r", b"\n\r", b"\r\n", b"\r\n\0"))))]


def _flow_signs(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    place = rng.randrange(len(answer))
    return [(0.0, answer[:place] + b"\x13\x11" + answer[place:])]


def _echo(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, b"READ?\n"), (rng.choice((0.0, 0.002)), answer)]


def _prompt(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, answer), (rng.choice((0.0, 0.002)), rng.choice((b"=>\n", b"=> ", b"OK\n")))]


def _endless(answer: bytes, rng: random.Random, deadline: float) -> Chunks:
    return [(0.0, b"7" * 500)] * rng.randint(1, 8)


LINE_FAULTS: dict[int, tuple[LineFault, ...]] = {
    1: (_late,),
    2: (_stale_in_front,),
    6: (_cut,),
    7: (_paused,),
    8: (_nul_inside,),
    9: (_garbage,),
    10: (_no_digit,),
    11: (_parity,),
    12: (_rate,),
    13: (_twice,),
    14: (_unasked,),
    15: (_empty,),
    16: (_nothing,),
    21: (_drip, _other_end, _flow_signs),
    22: (_echo, _prompt),
    26: (_endless,),
}
"""By the number of the case. Not here: what the meter or the port does, see meter_process.py."""

MEANT: dict[int, tuple[Meant, ...]] = {
    18: (lambda _: b'-221,"Settings conflict"', lambda _: b"ERROR", lambda _: b"nan"),
    19: (lambda rng: rng.choice((b"+9.90000000E+37", b"-9.9E37", b"+9.91000000E+37")),),
    20: (lambda _: b"+6.30000000E+00 VAC", lambda _: b"+6.3E+00,+6.4E+00", lambda _: b"6,30000"),
}
