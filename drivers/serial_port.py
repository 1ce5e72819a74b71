"""Serial devices through pyserial, opened so that nobody else can."""

from __future__ import annotations

import contextlib
import errno
import time
from collections.abc import Mapping
from enum import StrEnum

import serial

from drivers.errors import DriverError, PortBusy, PortDenied, PortMissing, Unsupported
from drivers.line_settings import Flow, LineSettings
from drivers.port_access import denied_advice, holder_of
from drivers.transport import NOT_TAKEN

__all__ = ["ModemLine", "SerialPort", "explain_open_failure"]

try:
    from termios import error as _TermiosError  # noqa: N812 - not an OSError, though pyserial lets it out
except ImportError:  # not POSIX

    class _TermiosError(Exception):  # type: ignore[no-redef]
        pass


_LEVELS = ("dtr", "rts")
_NO_LEVELS = (errno.EINVAL, errno.ENOTTY)  # a pseudo-terminal has no such lines
_BUSY = (errno.EAGAIN, errno.EBUSY)
_DENIED = (errno.EACCES, errno.EPERM)


class ModemLine(StrEnum):
    """The lines of an adapter that the other side may pull."""

    CTS = "cts"
    DSR = "dsr"
    RI = "ri"
    CD = "cd"


class SerialPort:
    """An open serial device; raises PortMissing, PortDenied or PortBusy where it can't be opened."""

    def __init__(self, device: str, settings: LineSettings) -> None:
        port = serial.Serial()
        port.port = device
        for name, value in _attributes(settings).items():
            setattr(port, name, value)
        port.write_timeout = settings.write_timeout_s
        port.exclusive = True  # the lock is advisory: it works only if everybody asks for it
        try:
            port.open()
        except (OSError, _TermiosError) as error:
            raise explain_open_failure(device, error) from error
        self._port = port
        self._patience_s = settings.write_timeout_s
        self._wrote = False

    def retune(self, settings: LineSettings) -> None:
        """Other settings on the open port: no control line moves that need not, so that no board starts anew.

        Raises Unsupported where the port has no such frame, which leaves the old one; OSError where it is gone.
        """
        new = _attributes(settings)
        old = {name: getattr(self._port, name) for name in new}
        try:
            self._set(new)
        except (OSError, ValueError, _TermiosError) as error:
            with contextlib.suppress(OSError, ValueError, _TermiosError):
                self._set(old)
            try:
                _ = self._port.in_waiting
            except (OSError, TypeError, _TermiosError) as gone:
                raise OSError(errno.EIO, str(gone)) from gone
            raise Unsupported(f"{self._port.port}: {settings} can't be set ({error})") from error

    def _set(self, wanted: Mapping[str, object]) -> None:
        # pyserial keeps a refused value and tries it again with each later one: every one is set, whatever came before
        trouble: Exception | None = None
        for name, value in wanted.items():
            try:
                if getattr(self._port, name) != value:
                    setattr(self._port, name, value)
            except (OSError, ValueError, _TermiosError) as error:
                if name not in _LEVELS or getattr(error, "errno", None) not in _NO_LEVELS:
                    trouble = error
        if trouble is not None:
            raise trouble

    def read(self, timeout_s: float) -> bytes:
        try:
            if self._port.timeout != timeout_s:
                self._port.timeout = timeout_s
            # readline() would fetch byte by byte: some hundred times slower
            first = bytes(self._port.read(self._port.in_waiting or 1))
            if not first:
                return first
            return first + bytes(self._port.read(self._port.in_waiting))
        except (_TermiosError, TypeError) as error:  # TypeError: pyserial on a closed descriptor
            raise OSError(errno.EIO, str(error)) from error

    def write(self, data: bytes) -> None:
        self._wrote = True
        try:
            self._port.write(data)
        except serial.SerialTimeoutException as error:
            raise TimeoutError(errno.ETIMEDOUT, NOT_TAKEN) from error
        except (_TermiosError, TypeError) as error:
            raise OSError(errno.EIO, str(error)) from error

    def active(self, line: ModemLine) -> bool:
        """Whether the other side pulls the line now; raises OSError, also where the port has no such lines."""
        try:
            _ = self._port.in_waiting  # where the port is gone this raises, on Windows reading the level does not
            match line:
                case ModemLine.CTS:
                    return bool(self._port.cts)
                case ModemLine.DSR:
                    return bool(self._port.dsr)
                case ModemLine.RI:
                    return bool(self._port.ri)
                case ModemLine.CD:
                    return bool(self._port.cd)
        except (_TermiosError, TypeError) as error:
            raise OSError(errno.EIO, str(error)) from error

    def close(self) -> None:
        if self._wrote:
            with contextlib.suppress(OSError, _TermiosError, TypeError):
                self._let_go_of_unsent()
        with contextlib.suppress(OSError, _TermiosError):
            self._port.close()

    def _let_go_of_unsent(self) -> None:
        # the system's own close may wait half a minute for an instrument that holds up the flow
        give_up = time.monotonic() + self._patience_s
        while self._port.out_waiting and time.monotonic() < give_up:
            time.sleep(0.005)
        if self._port.out_waiting:
            self._port.reset_output_buffer()


def _attributes(settings: LineSettings) -> dict[str, object]:
    """The settings by pyserial's names."""
    return {
        "baudrate": settings.baud_rate,
        "bytesize": settings.data_bits,
        "parity": settings.parity.letter,
        "stopbits": settings.stop_bits,
        "xonxoff": settings.flow is Flow.XON_XOFF,
        "rtscts": settings.flow is Flow.RTS_CTS,
        "dsrdtr": settings.flow is Flow.DTR_DSR,
        "dtr": settings.dtr,
        "rts": settings.rts,
    }


def explain_open_failure(device: str, error: BaseException) -> DriverError:
    """The error of ours that tells the person what to do about a port that did not open."""
    number = getattr(error, "errno", None)
    text = str(error)
    if number in _BUSY:
        holder = holder_of(device)
        who = f"held by {holder}" if holder else "held by another program"
        return PortBusy(f"{device}: {who}; end it, or use another port")
    if number in _DENIED:
        return PortDenied(f"{device}: no permission; {denied_advice(device)}")
    if "PermissionError" in text:  # Windows says "access denied" for a port in use
        return PortBusy(f"{device}: held by another program; end it, or use another port")
    if number in (errno.ENOENT, errno.ENODEV, errno.ENXIO, errno.EIO) or "FileNotFoundError" in text:
        return PortMissing(f"{device}: no such port; is it plugged in? `turnproof ports` lists what is there")
    return PortMissing(f"{device}: can't be used as a serial port ({text}); `turnproof ports` lists what is there")
