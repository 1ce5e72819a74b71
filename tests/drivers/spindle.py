"""A spindle with a counter board and a bad cable, whose truth is known: what the joiner is tried on."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field
from enum import StrEnum

from .framing import hall, letters

STEP_S = 0.002
LINE_EVERY_S = 0.02


class Fate(StrEnum):
    """What happens to a line on its way."""

    WELL = "well"
    LOST = "lost"
    DOUBLED = "doubled"
    DAMAGED = "damaged"


@dataclass(frozen=True)
class Move:
    """Turn towards `speed` (turns/s) for `seconds`."""

    speed: float
    seconds: float


@dataclass(frozen=True)
class Delivery:
    """Bytes that were read at `at`, when one had looked before at `earliest`; `came_back`: port opened anew."""

    data: bytes
    earliest: float
    at: float
    came_back: bool = False


class FramedBoard:
    """Sends framed lines; a damaged one has some bits turned over."""

    def line(self, boot: int, number: int, ms: int, edges: int, per: int) -> bytes:
        return hall(boot, number, ms, edges, per)

    def spoil(self, data: bytes, rng: random.Random) -> bytes:
        spoilt = bytearray(data)
        for _ in range(rng.randint(1, 3)):
            spoilt[rng.randrange(len(spoilt))] ^= 1 << rng.randrange(8)
        return bytes(spoilt)

    def key(self, raw: str) -> str:
        return raw


class PlainBoard:
    """Sends a number and a tag of letters to know the line by; a damaged one has another digit in it.

    The damage never happens to repeat the number of the line before: nothing could tell that from a
    spindle that stands.
    """

    def __init__(self) -> None:
        self._numbers = (0, 0)

    def line(self, boot: int, number: int, ms: int, edges: int, per: int) -> bytes:
        self._numbers = (self._numbers[1], edges)
        return f"{edges} {letters(boot * 100000 + number)}\n".encode()

    def spoil(self, data: bytes, rng: random.Random) -> bytes:
        number, _, tag = data.decode().partition(" ")
        places = [place for place, sign in enumerate(number) if sign.isdigit()]
        spoilt = [f"{number[:place]}{digit}{number[place + 1 :]}" for place in places for digit in "0123456789"]
        allowed = [each for each in spoilt if int(each) != self._numbers[0]]
        return f"{rng.choice(allowed)} {tag}".encode()

    def key(self, raw: str) -> str:
        return raw.rpartition(" ")[2]


Board = FramedBoard | PlainBoard


@dataclass
class Trouble:
    """What goes wrong, at which second: resets last as long as they say, so do losses and stalls."""

    resets: list[tuple[float, float]] = field(default_factory=list)
    port_lost: list[tuple[float, float]] = field(default_factory=list)
    host_stalls: list[tuple[float, float]] = field(default_factory=list)
    fates: list[Fate] = field(default_factory=list)


@dataclass
class Run:
    """What reached the host, and the true edges at the making of each line, by its bytes."""

    deliveries: list[Delivery]
    truth: dict[str, int]
    board: Board


def simulate(
    moves: list[Move],
    trouble: Trouble,
    *,
    per: int,
    sensors: int,
    acceleration: float,
    seed: int,
    board: Board | None = None,
) -> Run:
    """The lines of the board while the spindle makes its moves."""
    board = board or FramedBoard()
    rng = random.Random(seed)
    fates = iter(trouble.fates)
    position = speed = t = 0.0
    true_edges = shown = line = 0
    boot, booted_at = 7, 0.0
    next_line = LINE_EVERY_S
    truth: dict[str, int] = {}
    deliveries: list[Delivery] = []
    waiting = b""
    looked, was_away = 0.0, False
    for move in moves:
        for _ in range(round(move.seconds / STEP_S)):
            t += STEP_S
            change = max(-acceleration * STEP_S, min(acceleration * STEP_S, move.speed - speed))
            speed += change
            position += speed * STEP_S
            moved = math.floor(position * per) - true_edges
            true_edges += moved
            reset = _within(t, trouble.resets)
            if reset:
                shown, line = 0, 0
                if booted_at < t - STEP_S * 1.5 or booted_at == 0.0:
                    boot += 1
                booted_at = t
            else:
                shown += moved if sensors == 2 else abs(moved)
            if not reset and t >= next_line:
                line += 1
                data = board.line(boot, line, round((t - booted_at) * 1000), shown, per)
                truth[board.key(data.decode().strip())] = true_edges
                waiting += _on_its_way(data, next(fates, Fate.WELL), rng, board)
            if t >= next_line:
                next_line += LINE_EVERY_S
            away = _within(t, trouble.port_lost)
            if away:
                waiting, was_away = b"", True
            elif not _within(t, trouble.host_stalls) and (waiting or was_away):
                deliveries.append(Delivery(waiting, looked, t, was_away))
                waiting, was_away = b"", False
            if not away and not _within(t, trouble.host_stalls):
                looked = t
    return Run(deliveries, truth, board)


def _on_its_way(data: bytes, fate: Fate, rng: random.Random, board: Board) -> bytes:
    match fate:
        case Fate.LOST:
            return b""
        case Fate.DOUBLED:
            return data + data
        case Fate.DAMAGED:
            return board.spoil(data, rng)
        case Fate.WELL:
            return data


def _within(t: float, spans: list[tuple[float, float]]) -> bool:
    return any(start <= t < start + length for start, length in spans)
