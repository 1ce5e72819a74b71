"""A spindle on a random course, and when its magnets make each switch change: the truth of the campaign."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

__all__ = ["Course", "Piece", "Wheel", "random_course"]

MOST_SPEED = 50.0
MOST_ACCELERATION = 20.0


@dataclass(frozen=True)
class Piece:
    """Constant acceleration: start [s], place [turns], speed [turns/s], acceleration [turns/s2], seconds."""

    start: float
    place: float
    speed: float
    acceleration: float
    seconds: float

    def at(self, t: float) -> float:
        past = min(max(t - self.start, 0.0), self.seconds)
        return self.place + self.speed * past + self.acceleration * past * past / 2

    @property
    def end(self) -> float:
        return self.at(self.start + self.seconds)


@dataclass
class Course:
    """Pieces one behind the other; `place` answers for times that rise."""

    pieces: list[Piece]
    _now: int = 0

    def place(self, t: float) -> float:
        while self._now + 1 < len(self.pieces) and t >= self.pieces[self._now + 1].start:
            self._now += 1
        return self.pieces[self._now].at(t)

    @property
    def seconds(self) -> float:
        return self.pieces[-1].start + self.pieces[-1].seconds


def random_course(turns: float, rng: random.Random) -> Iterator[Piece]:
    """Pieces until so many turns have gone by either way, then a rest of two seconds."""
    t, place, speed, gone = 0.0, 0.0, 0.0, 0.0
    yield Piece(t, place, 0.0, 0.0, 0.5)
    t = 0.5
    while gone < turns:
        wanted = rng.choices(
            (rng.uniform(5.0, MOST_SPEED), rng.uniform(30.0, MOST_SPEED), rng.uniform(0.1, 3.0), 0.0,
             -rng.uniform(0.2, 12.0)),
            (30, 45, 8, 9, 8),
        )[0]  # fmt: skip
        acceleration = math.copysign(rng.uniform(4.0, MOST_ACCELERATION), wanted - speed)
        ramp = (wanted - speed) / acceleration if wanted != speed else 0.0
        for change, seconds in ((acceleration, ramp), (0.0, rng.uniform(0.2, 8.0))):
            for piece in _monotone(Piece(t, place, speed, change, seconds)):
                yield piece
                gone += abs(piece.end - piece.place)
                t, place, speed = piece.start + piece.seconds, piece.end, piece.speed + change * piece.seconds
        speed = wanted
    ramp = abs(speed) / 10.0
    for piece in _monotone(Piece(t, place, speed, math.copysign(10.0, -speed), ramp)):
        yield piece
        t, place = piece.start + piece.seconds, piece.end
    yield Piece(t, place, 0.0, 0.0, 2.0)


def _monotone(piece: Piece) -> list[Piece]:
    """The same in parts that each go one way only."""
    if piece.acceleration and -piece.speed / piece.acceleration > 0:
        turning = -piece.speed / piece.acceleration
        if turning < piece.seconds:
            first = Piece(piece.start, piece.place, piece.speed, piece.acceleration, turning)
            return [first, Piece(piece.start + turning, first.end, 0.0, piece.acceleration, piece.seconds - turning)]
    return [piece]


@dataclass(frozen=True)
class Wheel:
    """Magnets on the spindle and one or two switches, placed by hand: duty and shift [of a magnet's pitch]."""

    magnets: int
    sensors: int
    duty: float
    shift: float

    @property
    def per(self) -> int:
        return 2 * self.magnets * self.sensors

    @property
    def _places(self) -> tuple[tuple[float, int], ...]:
        first = ((0.0, 1), (self.duty, 1))
        return (*first, (self.shift, 2), (self.shift + self.duty, 2)) if self.sensors == 2 else first

    def levels(self, turns: float) -> int:
        pitches = turns * self.magnets
        a = 1 if pitches % 1.0 < self.duty else 0
        b = 1 if self.sensors == 1 or (pitches - self.shift) % 1.0 < self.duty else 0
        return a | b << 1

    def edges(self, turns: float) -> int:
        """Edges between zero and here, signed."""
        return sum(math.floor(turns * self.magnets - place) for place, _ in self._places)

    def changes(self, piece: Piece) -> tuple[np.ndarray, np.ndarray]:
        """Times [s] at which a switch changes, in order, and which (1 or 2); the piece goes one way."""
        begin, end = piece.place * self.magnets, piece.end * self.magnets
        low, high = min(begin, end), max(begin, end)
        times, bits = [], []
        for place, bit in self._places:
            marks = np.arange(math.floor(low - place) + 1, math.floor(high - place) + 1) + place
            if marks.size:
                times.append(piece.start + _time_to(marks / self.magnets - piece.place, piece))
                bits.append(np.full(marks.size, bit))
        if not times:
            return np.empty(0), np.empty(0, dtype=int)
        all_times, all_bits = np.concatenate(times), np.concatenate(bits)
        order = np.argsort(all_times, kind="stable")
        return all_times[order], all_bits[order]


def _time_to(way: np.ndarray, piece: Piece) -> np.ndarray:
    """Seconds from the piece's start until it has gone so far."""
    v, a = piece.speed, piece.acceleration
    if a == 0.0:
        return way / v
    root = np.sqrt(np.maximum(v * v + 2 * a * way, 0.0))
    # in the form that loses nothing where v and the root nearly cancel
    return 2 * way / (v + np.where(v + a * 1e-12 >= 0, root, -root)) if v != 0.0 else np.sqrt(2 * way / a)
