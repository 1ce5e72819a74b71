"""The control port as lines in and lines out: one JSON object each way, for a program that plays the operator."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass

from bench.rehearsal.chance import stream
from bench.rehearsal.counter_server import CounterBoard
from bench.rehearsal.hand import Ask, Hand, seconds_of
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.spindle import Spindle, bursts

__all__ = ["Control", "Plugs"]

_LONGEST = 65536
_BY_THE_CLOCK = 60.0
"""Seconds up to which a wait is waited; longer ones are skipped, and the unit is as warm afterwards as it would be."""


@dataclass(frozen=True, slots=True)
class Plugs:
    """What the control port may do to the rehearsal around it."""

    unplug: Callable[[str, float], None]
    set_temperature: Callable[[float], None]
    truth: Callable[[], dict[str, object]]
    quit: Callable[[], None]


class Control:
    """Answers each asked line with one line of the same id; `spindle` with `wait` is answered when it stands."""

    def __init__(self, hand: Hand, spindle: Spindle, board: CounterBoard, plugs: Plugs, seed: int) -> None:
        self._spindle, self._board, self._plugs = spindle, board, plugs
        self._rng = stream(seed, "winding")
        self._partial: dict[int, bytearray] = {}
        self._waiting: list[tuple[int, object]] = []
        self._over_at: list[tuple[float, int, object]] = []
        self._asks: dict[str, Callable[[Ask, float], str | dict[str, object] | None]] = {
            "connect": hand.connect,
            "excite": hand.excite,
            "load": hand.load,
            "enter": hand.enter,
            "wait": hand.wait,
            "confirm": lambda ask, now: None,
            "spindle": self._turn,
            "unplug": self._unplug,
            "drop": lambda ask, now: board.lose(_whole(ask, "lines", 1)),
            "damage": lambda ask, now: board.damage(_whole(ask, "lines", 1)),
            "reboot": lambda ask, now: board.reboot(now),
            "temperature": self._temperature,
            "truth": lambda ask, now: plugs.truth(),
            "quit": lambda ask, now: plugs.quit(),
        }

    def feed(self, client: int, data: bytes, now: float) -> bytes:
        """Take bytes of a client and give the answers that are due at once."""
        partial = self._partial.setdefault(client, bytearray())
        partial += data
        *lines, rest = bytes(partial).split(b"\n")
        self._partial[client] = bytearray(rest[-_LONGEST:])
        return b"".join(self._answer(client, line, now) for line in lines if line.strip())

    def poll(self, now: float) -> list[tuple[int, bytes]]:
        """Answers to clients that waited for a time to be over, or for the spindle to stand."""
        self._spindle.position(now)
        over = [one for one in self._over_at if one[0] <= now]
        if over:
            self._over_at = [one for one in self._over_at if one[0] > now]
            return [(client, _line({"id": number, "done": True})) for _, client, number in over]
        if not self._waiting or self._spindle.stands_from() is not None:
            return []
        done, self._waiting = self._waiting, []
        return [(client, _line({"id": number, "done": True})) for client, number in done]

    def forget(self, client: int) -> None:
        """A client went away."""
        self._partial.pop(client, None)
        self._waiting = [waiting for waiting in self._waiting if waiting[0] != client]
        self._over_at = [one for one in self._over_at if one[1] != client]

    def _answer(self, client: int, line: bytes, now: float) -> bytes:
        try:
            ask = json.loads(line)
        except (ValueError, RecursionError):
            return _line({"id": None, "error": "not a JSON object on one line"})
        if not isinstance(ask, dict):
            return _line({"id": None, "error": "not a JSON object on one line"})
        number, name = ask.get("id"), ask.get("ask")
        do = self._asks.get(name) if isinstance(name, str) else None
        if do is None:
            return _line({"id": number, "error": f"ask: {name!r}, expected one of {', '.join(self._asks)}"})
        if name == "spindle" and ask.get("wait") is True:
            self._waiting.append((client, number))
            if not {"winding_turns", "to", "by"} & set(ask):
                return b""
        try:
            if name == "wait" and seconds_of(ask) <= _BY_THE_CLOCK:
                self._over_at.append((now + seconds_of(ask), client, number))
                return b""
            result = do(ask, now)
        except RehearsalProblem as problem:
            self._waiting = [waiting for waiting in self._waiting if waiting != (client, number)]
            return _line({"id": number, "error": str(problem)})
        if (client, number) in self._waiting:
            return b""
        if isinstance(result, str):
            return _line({"id": number, "value": result})
        return _line({"id": number, **result} if isinstance(result, dict) else {"id": number, "done": True})

    def _turn(self, ask: Ask, now: float) -> None:
        """`winding_turns`: as a person winds; `to` or `by`: one move; `stop`: now. Turns, rpm, accel in turns/s2."""
        if ask.get("stop") is True:
            self._spindle.stop(now)
            return
        speed = _number(ask, "rpm", 300.0, 0.1, 6000.0) / 60
        acceleration = _number(ask, "accel", 8.0, 0.01, 1000.0)
        pause = _number(ask, "pause", 0.0, 0.0, 3600.0)
        if "winding_turns" in ask:
            turns = _number(ask, "winding_turns", 0.0, 0.01, 1e6)
            back = _number(ask, "back", 0.0, 0.0, 1e4)
            goes = bursts(turns, speed, self._rng)
            for number, (part, own_speed, wait) in enumerate(goes):
                self._spindle.move(now, part, own_speed, acceleration, wait + (pause if number == 0 else 0.0))
                if back and number == max(0, len(goes) // 2 - 1):
                    # Goes back to look at a crossed turn, and on again.
                    self._spindle.move(now, -back, min(speed, 1.0), acceleration, 0.5)
                    self._spindle.move(now, back, min(speed, 2.0), acceleration, 0.5)
        elif "to" in ask:
            distance = _number(ask, "to", 0.0, -1e6, 1e6) - self._spindle.aim
            self._spindle.move(now, distance, speed, acceleration, pause)
        elif "by" in ask:
            self._spindle.move(now, _number(ask, "by", 0.0, -1e6, 1e6), speed, acceleration, pause)
        else:
            raise RehearsalProblem("spindle: expected winding_turns, to, by, wait or stop")

    def _unplug(self, ask: Ask, now: float) -> None:
        port = ask.get("port")
        if port not in ("counter", "meter"):
            raise RehearsalProblem(f"port: {port!r}, expected counter or meter")
        self._plugs.unplug(str(port), _number(ask, "seconds", 0.5, 0.0, 3600.0))

    def _temperature(self, ask: Ask, now: float) -> None:
        self._plugs.set_temperature(273.15 + _number(ask, "celsius", 20.0, -40.0, 200.0))


def _number(ask: Ask, key: str, default: float, least: float, most: float) -> float:
    value = ask.get(key, default)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not least <= value <= most:
        raise RehearsalProblem(f"{key}: {value!r}, expected a number from {least:g} to {most:g}")
    return float(value)


def _whole(ask: Ask, key: str, default: int) -> int:
    value = ask.get(key, default)
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 10000:
        raise RehearsalProblem(f"{key}: {value!r}, expected a whole number from 0 to 10000")
    return value


def _line(answer: dict[str, object]) -> bytes:
    return (json.dumps(answer) + "\n").encode("utf-8")
