"""A meter in the CONF / READ? dialect for tests, honest or as badly behaved as a test wants it."""

from __future__ import annotations

from collections import deque

IDENTITY = b"NOBODY,TM6,0042,1.0"


class FakeMeter:
    """Takes messages, gives answers as (delay s, bytes). `faults` replaces the next answers to READ?."""

    def __init__(self) -> None:
        self.identity = IDENTITY
        self.values: deque[float] = deque()
        self.value = 6.3
        self.faults: deque[list[tuple[float, bytes]]] = deque()
        self.errors: deque[bytes] = deque()
        self.heard: list[str] = []
        self.remote = False
        self.power_on()

    def power_on(self) -> None:
        """Function and range as after switching on."""
        self.function = "VOLT:DC"
        self.range = 750.0
        self.remote = False

    def hear(self, message: str) -> list[tuple[float, bytes]]:
        self.heard.append(message)
        head, _, argument = message.partition(" ")
        match head:
            case "*IDN?":
                return [(0.0, self.identity + b"\n")]
            case "SYST:REM" | "SYST:LOC":
                self.remote = head == "SYST:REM"
            case "*CLS":
                self.errors.clear()
            case "SYST:ERR?":
                return [(0.0, (self.errors.popleft() if self.errors else b'+0,"No error"') + b"\n")]
            case "CONF?":
                return [(0.0, f'"{self.function} {self.range:.6E}"\n'.encode())]
            case "READ?":
                return self.faults.popleft() if self.faults else [(0.0, self.reading())]
            case "":
                pass
            case _ if head.startswith("CONF:"):
                self.configure(head.removeprefix("CONF:"), argument)
            case _:
                self.errors.append(b'-113,"Undefined header"')
        return []

    def configure(self, function: str, argument: str) -> None:
        self.function = function
        self.range = float(argument) if argument else 1.0

    def reading(self) -> bytes:
        value = self.values.popleft() if self.values else self.value
        if abs(value) > 1.2 * self.range and self.function != "FREQ":
            return b"+9.90000000E+37\n"
        return f"{value:+.8E}\n".encode()
