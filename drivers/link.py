"""A line to an instrument that is opened exclusively, can be lost, and can be found again."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from types import TracebackType
from typing import Self

from drivers.backoff import BackOff
from drivers.errors import DriverError, LinkLost
from drivers.line_settings import Flow, LineSettings, Parity
from drivers.replay import Replay
from drivers.serial_port import SerialPort
from drivers.tcp_socket import TcpSocket
from drivers.transport import Transport
from drivers.wire_log import WireLog

__all__ = ["Flow", "LineSettings", "Link", "Parity", "WireLog"]

_log = logging.getLogger(__name__)


class Link:
    """A serial device (`/dev/ttyUSB0`, `COM5`), `socket://HOST:PORT`, or `replay://FILE`.

    One owner polls it; it starts no thread and may live in any one. After LinkLost the line is closed;
    `reopen` finds it again, also under one of the names that `elsewhere` gives; `port` is then that name.
    """

    def __init__(
        self,
        port: str,
        settings: LineSettings | None = None,
        *,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
        wire_log: WireLog | None = None,
        backoff: BackOff | None = None,
        elsewhere: Callable[[], Sequence[str]] = tuple,
    ) -> None:
        self.port = port
        self._first = port
        self._elsewhere = elsewhere
        self.settings = settings or LineSettings()
        self._clock = clock
        self._sleep = sleep
        self._wire_log = wire_log
        self._backoff = backoff or BackOff()
        self._transport: Transport | None = None
        self._opened_at: float | None = None
        self._replay: Replay | None = None

    @property
    def is_open(self) -> bool:
        return self._transport is not None

    @property
    def log_problem(self) -> str:
        """Why the wire log can't be written any more; empty while it can, or where there is none."""
        return self._wire_log.problem if self._wire_log is not None else ""

    def open(self) -> None:
        """Open the line; raises PortMissing, PortDenied or PortBusy. An open line stays as it is."""
        if self._transport is not None:
            return
        self._transport = self._connect(self.port)
        if self._opened_at is None:
            self._opened_at = self._clock()
        self._note("opened", port=self.port, settings=str(self.settings))
        if self.settings.open_settle_s > 0:
            self._sleep(self.settings.open_settle_s)

    def close(self) -> None:
        """Close the line; never raises."""
        if self._transport is None:
            return
        self._transport.close()
        self._transport = None
        self._note("closed")
        if self._replay is not None and self._replay.left_over:
            _log.warning("%s: %d steps of the recording were not played", self.port, self._replay.left_over)

    def retune(self, settings: LineSettings) -> None:
        """Go on with another rate and frame, without closing; a socket has none. Raises Unsupported, LinkLost."""
        transport = self._need()
        if isinstance(transport, SerialPort) and settings != self.settings:
            try:
                transport.retune(settings)
            except OSError as error:
                raise self._lost(error) from error
            self._note("retuned", settings=str(settings))
        self.settings = settings

    def send(self, data: bytes) -> None:
        """Send all of `data` before the write deadline; raises LinkLost."""
        transport = self._need()
        try:
            transport.write(data)
        except TimeoutError as error:
            raise self._lost(error, "is it switched on, and is its flow control the same?") from error
        except OSError as error:
            raise self._lost(error) from error
        self._crossed("out", data)

    def receive(self, timeout_s: float) -> bytes:
        """All that has arrived, waiting for the first byte at most `timeout_s`; b"" when none came.

        Raises LinkLost.
        """
        transport = self._need()
        try:
            data = transport.read(timeout_s)
        except OSError as error:
            raise self._lost(error) from error
        if data:
            self._backoff.succeeded()
            self._crossed("in", data)
        return data

    def reopen(self, within_s: float = 0.0) -> None:
        """Close and open again, trying with back-off until `within_s` has passed.

        The pauses go on growing over calls until bytes arrive again. Raises LinkLost with the last
        reason when the line did not open in time, also when no try was due yet.
        """
        self.close()
        give_up = self._clock() + within_s
        reason: DriverError | None = None
        while True:
            wait = self._backoff.wait(self._clock())
            if wait > 0:
                left = give_up - self._clock()
                self._sleep(max(0.0, min(wait, left)))
                if wait > left:
                    break
            try:
                self._open_somewhere()
            except DriverError as error:
                reason = error
                self._backoff.failed(self._clock())
            else:
                self._backoff.failed(self._clock())  # an open line that stays silent is no success yet
                return
        raise LinkLost(f"{self.port}: not back yet" + (f" ({reason})" if reason else "")) from reason

    def __enter__(self) -> Self:
        self.open()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _open_somewhere(self) -> None:
        """Under its own name, else under one of the others; raises what its own name raised."""
        own = self.port
        try:
            self.open()
        except DriverError:
            for name in dict.fromkeys((self._first, *self._elsewhere())):
                self.port = name
                with suppress(DriverError):
                    self.open()
                    return
            self.port = own
            raise

    def _connect(self, port: str) -> Transport:
        if port.startswith("socket://"):
            return TcpSocket(port, self.settings)
        if port.startswith("replay://"):
            # a recording goes on after a loss that it holds: it is opened once
            self._replay = self._replay or Replay(port.removeprefix("replay://"), sleep=self._sleep)
            return self._replay
        return SerialPort(port, self.settings)

    def _need(self) -> Transport:
        if self._transport is None:
            raise LinkLost(f"{self.port}: the line is not open")
        return self._transport

    def _lost(self, error: OSError, advice: str = "is it plugged in and switched on?") -> LinkLost:
        reason = error.strerror or str(error)
        self._note("lost", reason=reason)
        if self._transport is not None:
            self._transport.close()
            self._transport = None
        return LinkLost(f"{self.port}: the line went away ({reason}); {advice}")

    def _crossed(self, direction: str, data: bytes) -> None:
        if self._wire_log is not None:
            self._wire_log.bytes_crossed(self._since_open(), direction, data)

    def _note(self, what: str, **details: str) -> None:
        if self._wire_log is not None:
            self._wire_log.event(self._since_open(), what, **details)

    def _since_open(self) -> float:
        return self._clock() - self._opened_at if self._opened_at is not None else 0.0
