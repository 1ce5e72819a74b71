"""The spindle of the winding machine: where it stands at each moment, as a row of moves."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

__all__ = ["Spindle", "bursts"]


@dataclass(frozen=True, slots=True)
class _Move:
    """From rest to rest: start [s], where [turns], how far (signed), cruising speed and acceleration [turns/s, /s2]."""

    start: float
    origin: float
    distance: float
    speed: float
    acceleration: float

    @property
    def ramp(self) -> float:
        """Duration of speeding up [s]; a short move never reaches its cruising speed."""
        return min(self.speed / self.acceleration, math.sqrt(abs(self.distance) / self.acceleration))

    @property
    def duration(self) -> float:
        top = self.ramp * self.acceleration
        if top == 0:
            return 0.0
        return 2 * self.ramp + (abs(self.distance) - top * self.ramp) / top

    def position(self, time: float) -> float:
        t, total = time - self.start, self.duration
        if t <= 0:
            return self.origin
        if t >= total:
            return self.origin + self.distance
        a, ramp = self.acceleration, self.ramp
        if t < ramp:
            gone = a * t * t / 2
        elif t <= total - ramp:
            gone = a * ramp * (t - ramp / 2)
        else:
            gone = abs(self.distance) - a * (total - t) ** 2 / 2
        return self.origin + math.copysign(gone, self.distance)


class Spindle:
    """Turns since the rehearsal began, signed; moves queue up behind each other."""

    def __init__(self) -> None:
        self._moves: list[_Move] = []
        self._settled = 0.0

    @property
    def aim(self) -> float:
        """Where it will stand after every move [turns]."""
        return self._moves[-1].origin + self._moves[-1].distance if self._moves else self._settled

    def move(self, now: float, distance: float, speed: float, acceleration: float, pause: float = 0.0) -> None:
        """Turn on by a distance [turns] at a speed [turns/s] after what is under way, and a pause [s]."""
        start = max(now, self.stands_from() or now) + pause
        self._moves.append(_Move(start, self.aim, distance, speed, acceleration))

    def position(self, time: float) -> float:
        """Turns at a time [s]; times before those asked for earlier may be answered with the later place."""
        while self._moves and time >= self._moves[0].start + self._moves[0].duration:
            done = self._moves.pop(0)
            self._settled = done.origin + done.distance
        return self._moves[0].position(time) if self._moves else self._settled

    def stands_from(self) -> float | None:
        """Time [s] from which it stands; None when it stands already."""
        return self._moves[-1].start + self._moves[-1].duration if self._moves else None

    def stop(self, now: float) -> None:
        """Stop at once and forget what was queued."""
        self._settled = self.position(now)
        self._moves.clear()


def bursts(turns: float, speed: float, rng: np.random.Generator) -> list[tuple[float, float, float]]:
    """How a person winds a number of turns: (turns, speed, pause before), in a few goes, the last turns slowly."""
    creep = min(3.0, turns / 4)
    goes = 1 + min(4, int(turns // 150))
    marks = np.sort(rng.uniform(0, turns - creep, goes - 1)).tolist()
    edges = [0.0, *marks, turns - creep]
    laid = [
        (end - begin, speed * float(rng.uniform(0.85, 1.1)), float(rng.uniform(0.3, 0.9)))
        for begin, end in itertools.pairwise(edges)
    ]
    return [*laid, (creep, min(speed, 1.0), 0.3)]
