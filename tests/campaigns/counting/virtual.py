"""Runs without a port: the board, its truth and the cable in a process of their own, the host's count here."""

from __future__ import annotations

import multiprocessing
import random
import re
import statistics
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from typing import Any

from drivers.counter_profile import CountDirection, CounterProfile
from drivers.counting import Bounded, Broken, Count
from drivers.countline import decoder_for
from drivers.joiner import CountJoiner
from drivers.profile_files import load_counter_profile

from .board import Cable, SimulatedBoard
from .spindle import Wheel, random_course

__all__ = ["KINDS", "Kind", "Outcome", "median_width", "run_many", "tag_of"]

_BATCH = 400
_EPSILON = 1e-6
_ON_ITS_WAY = 0.004
_ASKED_FOR = 60.0


@dataclass(frozen=True)
class Kind:
    """A counter: how many switches, and the form of its lines."""

    name: str
    sensors: int
    plain: bool = False
    up_only: bool = False

    def profile(self, per: int) -> CounterProfile:
        """What a person would have in the profile: the spindle's limits with some room."""
        if not self.plain:
            return load_counter_profile("hall")
        profile = load_counter_profile("plain")
        assert profile.plain is not None
        edges = replace(profile.plain, unit="edges", edges_per_turn=per, period_s=0.5)
        direction = CountDirection.UP if self.up_only else CountDirection.BOTH
        return replace(profile, plain=edges, direction=direction)


KINDS = {
    "two": Kind("two sensors, framed lines", 2),
    "one": Kind("one sensor, framed lines", 1),
    "plain": Kind("plain lines, up and down", 2, plain=True),
    "plain up": Kind("plain lines, up only", 1, plain=True, up_only=True),
}


@dataclass
class Outcome:
    """Of a run: turns gone either way, counts judged, of them the wrong ones, warnings, width of the last interval."""

    seed: int
    turns: float = 0.0
    counts: int = 0
    wrong: int = 0
    warnings: int = 0
    width: float = 0.0
    first_wrong: str = ""


def run_many(kind: Kind, seeds: range, turns: float) -> list[Outcome]:
    """One after the other; the board's process is always a run ahead."""
    here, there = multiprocessing.Pipe()
    board = multiprocessing.Process(target=_boards, args=(there, kind, seeds, turns), daemon=True)
    board.start()
    there.close()
    outcomes = [_host(here, kind, seed) for seed in seeds]
    board.join()
    return outcomes


def _boards(link: Connection, kind: Kind, seeds: range, turns: float) -> None:
    """The side that knows the truth: it sends what comes over the cable, takes counts, and says which were wrong."""
    for seed in seeds:
        rng = random.Random(seed)
        wheel = Wheel(rng.randint(1, 4), kind.sensors, rng.uniform(0.42, 0.58), rng.uniform(0.2, 0.3))
        board, cable = SimulatedBoard(wheel, rng), Cable(rng)
        link.send(("run", wheel.per))
        judge = _Judge(wheel.per, kind.plain)
        batch: list[tuple[bytes, float, float]] = []
        gone, looked, looks = 0.0, 0.0, 0.02
        waiting = b""
        asked = 0.0
        for piece in random_course(turns, rng):
            for t, line, edges in board.run(replace(piece, place=piece.place + 0.003)):
                if asked <= t < _ASKED_FOR:
                    # the host asks a board that has not said who it is each two seconds; its greeting may get lost
                    board.hardware.heard += b"identify\n"
                    asked = t + 2.0
                data = judge.told(line, edges, kind)
                if data is None:
                    continue
                while t + _ON_ITS_WAY > looks:
                    # the host looks each few milliseconds, now and then after a stall, and takes what has arrived
                    if waiting:
                        batch.append((waiting, looked, looks))
                        waiting = b""
                    looked = looks
                    looks += rng.uniform(0.002, 0.03) if rng.random() < 0.999 else rng.uniform(0.1, 2.0)
                waiting += cable.carry(data)
            gone += abs(piece.end - piece.place)
            if len(batch) >= _BATCH:
                link.send(("lines", batch))
                batch = []
                judge.judge(link.recv())
        link.send(("lines", [*batch, (waiting, looked, looks)]))
        judge.judge(link.recv())
        link.send(("end", gone, judge.judged, judge.wrong, judge.first_wrong))


class _Judge:
    """Knows the true edges at each line; a count is wrong where its interval leaves them out."""

    def __init__(self, per: int, plain: bool) -> None:
        self._per = per
        self._plain = plain
        self.judged = 0
        self._truth: dict[str, int] = {}
        self._origin: float | None = None
        self._number = 0
        self.wrong = 0
        self.first_wrong = ""

    def told(self, line: bytes, edges: int, kind: Kind) -> bytes | None:
        """The line as this kind of counter sends it."""
        if not line.startswith(b"hall 1 "):
            return None if kind.plain else line
        if not kind.plain:
            self._truth[line[:-1].decode()] = edges
            return line
        self._number += 1
        tag = tag_of(self._number)
        self._truth[tag] = edges
        return line.split()[5] + b" " + tag.encode() + b"\n"

    def judge(self, counts: list[tuple[str, float, float, float]]) -> None:
        for raw, low, turns, high in counts:
            edges = self._truth.get(raw.rpartition(" ")[2] if self._plain else raw)
            if edges is None and self._plain:
                continue  # its tag was damaged on the way, and with it what tells the line
            if edges is None:
                self._say(f"a line that was never sent was counted: {raw!r}")
                continue
            self.judged += 1
            truth = edges / self._per
            if self._origin is None:
                self._origin = truth - turns
            if not low - _EPSILON <= truth - self._origin <= high + _EPSILON:
                self._say(f"{raw!r}: {low} to {high}, true {truth - self._origin}")

    def _say(self, what: str) -> None:
        self.wrong += 1
        self.first_wrong = self.first_wrong or what


def tag_of(number: int) -> str:
    """A tag to know the line by, of fixed length and with a letter that checks it."""
    text = f"{number:07}{number * 7919 % 9973:04}"
    return re.sub(r"\d", lambda digit: chr(ord("a") + int(digit.group())), text)


def _host(link: Connection, kind: Kind, seed: int) -> Outcome:
    _, per = link.recv()
    profile = kind.profile(per)
    joiner, decoder = CountJoiner(profile), decoder_for(profile)
    joiner.set_count(0.0, "a new winding", 0.0)
    outcome = Outcome(seed)
    while True:
        message: Any = link.recv()
        if message[0] == "end":
            _, outcome.turns, outcome.counts, outcome.wrong, outcome.first_wrong = message
            count = joiner.count
            outcome.width = 0.0 if count is None else count.high - count.low
            return outcome
        counts: list[tuple[str, float, float, float]] = []
        for data, earliest, at in message[1]:
            for decoded in decoder.feed(data):
                for event in joiner.feed(decoded, at, earliest):
                    if isinstance(event, Count):
                        counts.append((event.raw, event.low, event.turns, event.high))
                    elif isinstance(event, (Bounded, Broken)):
                        outcome.warnings += 1
        link.send(counts)


def median_width(outcomes: list[Outcome]) -> float:
    return statistics.median(each.width for each in outcomes)
