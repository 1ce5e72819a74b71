"""The counter board's own program on an ordinary Python, with a spindle that a test turns."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

FIRMWARE = Path(__file__).resolve().parents[2] / "drivers" / "firmware"
_NAMES = ("edges", "frames", "goal", "program", "settings")
_ROUND = 1 << 30


@contextmanager
def firmware() -> Iterator[dict[str, ModuleType]]:
    """The modules of the board, by name; gone again afterwards, as their names are everybody's."""
    before = {name: sys.modules.pop(name) for name in _NAMES if name in sys.modules}
    bytecode, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    sys.path.insert(0, str(FIRMWARE))
    try:
        yield {name: importlib.import_module(name) for name in _NAMES}
    finally:
        sys.path.remove(str(FIRMWARE))
        sys.dont_write_bytecode = bytecode
        for name in _NAMES:
            sys.modules.pop(name, None)
        sys.modules.update(before)


class Board:
    """Hardware for the program, and a hand on it: `turn`, `rest`, `type`, `press`."""

    board = "E66118604B5A2C35"

    def __init__(self, modules: dict[str, ModuleType], *, shift: float = 0.25, closed: float = 0.5) -> None:
        self._now = 0
        self._pitches = closed / 10  # the first switch has just closed
        self._shift, self._closed = shift, closed
        self._heard = b""
        self._pressed = False
        self.sent = b""
        self.high = False
        self.settings = modules["settings"]
        self.program = modules["program"].Program(self, self.settings)

    # -- the hand

    def turn(self, turns: float, seconds: float) -> None:
        steps = max(1, round(seconds * 1000))
        for _ in range(steps):
            before = self.read_a(), self.read_b()
            self._pitches += turns * self.settings.MAGNETS / steps
            if (self.read_a(), self.read_b()) != before:
                self.program.changed()
            self.rest(0.001)

    def rest(self, seconds: float) -> None:
        for _ in range(round(seconds * 1000)):
            self._now += 1000
            self.program.step()

    def type(self, line: str) -> str:
        """What the board answers to a line, but for the lines of its count."""
        begin = len(self.sent)
        self._heard = line.encode() + b"\r\n"
        self.rest(0.002)
        said = self.sent[begin:].decode().splitlines()
        return "\n".join(each for each in said if not each.startswith("hall 1 "))

    def press(self) -> None:
        for self._pressed, seconds in ((False, 0.06), (True, 0.03), (False, 0.06)):
            self.rest(seconds)

    @property
    def lines(self) -> list[str]:
        return self.sent.decode().splitlines()

    # -- the hardware

    def on_change(self, handler: object) -> None: ...
    def interrupts_off(self) -> None: ...
    def interrupts_on(self) -> None: ...
    def buzz(self, on: bool) -> None: ...

    def read_a(self) -> int:
        return int(self._pitches % 1.0 >= self._closed)

    def read_b(self) -> int:
        return int((self._pitches - self._shift) % 1.0 >= self._closed)

    def us(self) -> int:
        return self._now % _ROUND

    def ms(self) -> int:
        return self._now // 1000 % _ROUND

    def ticks_diff(self, later: int, earlier: int) -> int:
        return later - earlier

    def run(self, goal: object) -> None:
        self.high = bool(getattr(goal, "running", False))

    def run_low(self) -> None:
        self.high = False

    def arm_pressed(self) -> bool:
        return self._pressed

    def can_send(self) -> bool:
        return True

    def send(self, data: bytes) -> None:
        self.sent += data

    def receive(self) -> bytes:
        heard, self._heard = self._heard, b""
        return heard

    def next_boot(self) -> int:
        return 7
