"""A foot switch on a serial adapter, for somebody who has no hand free."""

from __future__ import annotations

import time
from collections.abc import Callable
from enum import StrEnum
from types import TracebackType
from typing import Protocol, Self

from drivers.backoff import BackOff
from drivers.errors import DriverError, Unsupported
from drivers.line_settings import LineSettings
from drivers.serial_port import ModemLine, SerialPort

__all__ = ["FootSwitch", "SwitchLine"]

_DEAD_S = 0.030  # contacts bounce for a few milliseconds, a foot takes far longer
_LEVELS_SETTLE_S = 0.1  # RTS feeds the switch only from opening on, and a USB adapter tells of it a while later
_BOARD_STARTS_S = 2.0  # many boards start anew when their port is opened, and greet


class SwitchLine(StrEnum):
    """How a press arrives."""

    CTS = "cts"
    DSR = "dsr"
    RI = "ri"
    CD = "cd"
    BYTES = "bytes"


class FootSwitch:
    """Counts presses: a contact between RTS or DTR and a modem status line, or a byte or a line sent at each press.

    One owner polls it, at least every 50 ms where a contact closes: a shorter press than that goes unseen. Presses
    closer than the owner's polls can tell apart count as one. A switch that is down when the port opens counts when
    it is pressed the next time. Modem lines were tried with a stand-in for the port only, since pseudo-terminals have
    none; bytes over a pseudo-terminal.
    """

    def __init__(
        self,
        port: str,
        line: SwitchLine = SwitchLine.CTS,
        *,
        clock: Callable[[], float] = time.monotonic,
        backoff: BackOff | None = None,
    ) -> None:
        self.port = port
        self.line = line
        self._clock = clock
        self._backoff = backoff or BackOff()
        self._open_port: SerialPort | None = None
        self._presses: _Presses = _Bursts(0.0)
        self._lost: str | None = None

    @property
    def lost(self) -> str | None:
        """Why nothing is heard of the switch, None while its port works."""
        return self._lost

    def open(self) -> None:
        """Open the port; raises PortMissing, PortDenied, PortBusy, or Unsupported where it has no such line."""
        if self._open_port is not None:
            return
        port = SerialPort(self.port, LineSettings(dtr=True, rts=True))
        now = self._clock()
        if self.line is SwitchLine.BYTES:
            self._presses = _Bursts(now)
        else:
            try:
                port.active(ModemLine(self.line))
            except OSError as error:
                port.close()
                raise Unsupported(
                    f"{self.port}: the {self.line.upper()} line can't be read here; take an adapter with modem lines"
                ) from error
            self._presses = _Contact(now)
        self._open_port = port
        self._lost = None

    def close(self) -> None:
        """Close the port; never raises."""
        if self._open_port is not None:
            self._open_port.close()
        self._open_port = None
        self._lost = None

    def pressed(self) -> int:
        """Presses since the last look; never waits and never raises. A lost port is looked for again in here."""
        now = self._clock()
        if self._open_port is None:
            self._look_again(now)
            return 0
        try:
            seen = self._seen(self._open_port)
        except OSError as error:
            self._open_port.close()
            self._open_port = None
            self._lost = f"{self.port}: the foot switch went away ({error.strerror or error}); is it plugged in?"
            self._backoff.failed(now)
            return 0
        self._backoff.succeeded()
        return int(self._presses.seen(seen, now))

    def __enter__(self) -> Self:
        self.open()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _seen(self, port: SerialPort) -> bool:
        """Whether the contact is closed, or anything was sent."""
        if self.line is SwitchLine.BYTES:
            return bool(port.read(0.0))
        return port.active(ModemLine(self.line))

    def _look_again(self, now: float) -> None:
        if self._lost is None or self._backoff.wait(now) > 0:
            return
        try:
            self.open()
        except DriverError as error:
            self._lost = str(error)
            self._backoff.failed(now)


class _Presses(Protocol):
    def seen(self, on: bool, now: float) -> bool:
        """Whether what is seen now is a new press."""
        ...


class _Contact:
    """A press is the change from open to closed; within the dead time after a change nothing counts."""

    def __init__(self, now: float) -> None:
        self._settled = now + _LEVELS_SETTLE_S
        self._settling = True
        self._closed = False
        self._deaf_until = now

    def seen(self, on: bool, now: float) -> bool:
        if self._settling:
            # the first look after settling is where the contact stands, not a press
            self._settling = now < self._settled
            self._closed = on
            return False
        if on == self._closed or now < self._deaf_until:
            return False
        self._closed = on
        self._deaf_until = now + _DEAD_S
        return on


class _Bursts:
    """A press is what is sent after a silence of the dead time that was seen: looks tell no closer when bytes came."""

    def __init__(self, now: float) -> None:
        self._settled = now + _BOARD_STARTS_S
        self._heard_at = now
        self._silent_s = 0.0

    def seen(self, on: bool, now: float) -> bool:
        if not on:
            self._silent_s = now - self._heard_at
            return False
        new = self._silent_s >= _DEAD_S and now >= self._settled
        self._heard_at, self._silent_s = now, 0.0
        return new
