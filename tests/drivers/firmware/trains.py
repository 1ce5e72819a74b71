"""What two switches do while a spindle with magnets turns: levels over time, with chatter; and the true edges."""

from __future__ import annotations

import math
import random
import struct
from dataclasses import dataclass

STEP_US = 100


@dataclass
class Train:
    """records: what the harness plays;  edges: the spindle's true place at the end, in edges;  turned: edges passed
    either way."""

    records: bytes
    edges: int
    turned: int


def train(
    moves: list[tuple[float, float]],
    *,
    magnets: int = 2,
    sensors: int = 2,
    acceleration: float = 50.0,
    chatter_us: int = 0,
    seed: int = 0,
    loop_us: int = 1000,
    duty: float = 0.5,
    shift: float = 0.25,
) -> Train:
    """moves: (turns/s to go towards, seconds).  chatter_us: how long a switch may chatter after a change.

    duty: part of a magnet's pitch in which a switch is closed;  shift: of the second switch, in pitches.
    """
    rng = random.Random(seed)
    place, speed, t = 0.025 / magnets, 0.0, 0
    first = _passed(place * magnets, sensors, duty, shift)
    levels = _levels(place * magnets, sensors, duty, shift)
    records = [(0, 0, levels)]
    turned, next_loop = 0, loop_us
    for wanted, seconds in moves:
        for _ in range(round(seconds * 1e6 / STEP_US)):
            t += STEP_US
            most = acceleration * STEP_US * 1e-6
            speed += max(-most, min(most, wanted - speed))
            place += speed * STEP_US * 1e-6
            now = _levels(place * magnets, sensors, duty, shift)
            if now != levels:
                records.append((t, 0, now))
                for bit in (1, 2):
                    turned += 1 if (now ^ levels) & bit else 0
                    if chatter_us and (now ^ levels) & bit:
                        records += _chatter(t, now, bit, chatter_us, rng)
                levels = now
            if t >= next_loop:
                records.append((t, 1, 0))
                next_loop = t + loop_us
    for _ in range(1200):
        t += 1000
        records.append((t, 1, 0))
    records.sort(key=lambda each: each[0])
    return Train(pack(records), _passed(place * magnets, sensors, duty, shift) - first, turned)


def pack(records: list[tuple[int, int, int]]) -> bytes:
    """Records as the harness reads them."""
    return b"".join(struct.pack("<IBB", *each) for each in records)


def _levels(pitches: float, sensors: int, duty: float, shift: float) -> int:
    """The switches at so many pitches: the first is closed from 0 to `duty` of each, the second `shift` later."""
    a = 1 if pitches % 1.0 < duty else 0
    b = 1 if sensors == 1 or (pitches - shift) % 1.0 < duty else 0
    return a | b << 1


def _passed(pitches: float, sensors: int, duty: float, shift: float) -> int:
    """Edges that lie between zero and here, signed: each switch has one where it closes and one where it opens."""
    places = (0.0, duty, shift, shift + duty) if sensors == 2 else (0.0, duty)
    return sum(math.floor(pitches - each) for each in places)


def _chatter(t: int, levels: int, bit: int, most_us: int, rng: random.Random) -> list[tuple[int, int, int]]:
    """The switch opens and closes again a few times for some microseconds."""
    found = []
    for when in sorted(rng.sample(range(5, most_us, 5), rng.randint(0, 4))):
        found += [(t + when, 0, levels ^ bit), (t + when + 3, 0, levels)]
    return found
