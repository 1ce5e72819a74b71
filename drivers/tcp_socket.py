"""Instruments on the network, through the standard library's socket."""

from __future__ import annotations

import contextlib
import errno
import socket
from urllib.parse import urlsplit

from drivers.errors import PortMissing
from drivers.line_settings import LineSettings
from drivers.transport import NOT_TAKEN

__all__ = ["TcpSocket"]


class TcpSocket:
    """A connected `socket://HOST:PORT`, or `socket://HOST` where the settings say the port; raises PortMissing where
    nobody listens."""

    def __init__(self, address: str, settings: LineSettings) -> None:
        host, number = _split(address, settings.socket_port)
        try:
            self._socket = socket.create_connection((host, number), timeout=settings.connect_timeout_s)
        except OSError as error:
            raise PortMissing(
                f"{address}: nobody answers there ({error.strerror or error}); is the instrument on, "
                "and its address and port number right?"
            ) from error
        self._write_timeout_s = settings.write_timeout_s
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)

    def read(self, timeout_s: float) -> bytes:
        self._socket.settimeout(max(timeout_s, 0.0))
        try:
            data = self._socket.recv(65536)
        except (TimeoutError, BlockingIOError):
            return b""
        if not data:
            raise OSError(errno.ECONNRESET, "closed by the other side")
        return data

    def write(self, data: bytes) -> None:
        self._socket.settimeout(self._write_timeout_s)
        try:
            self._socket.sendall(data)
        except TimeoutError as error:
            raise TimeoutError(errno.ETIMEDOUT, NOT_TAKEN) from error

    def close(self) -> None:
        with contextlib.suppress(OSError):
            self._socket.close()


def _split(address: str, usual_port: int) -> tuple[str, int]:
    try:
        parts = urlsplit(address)
        host, number = parts.hostname, parts.port
    except ValueError:
        host = number = None
    number = number or usual_port
    if not host or not number or parts.path not in ("", "/"):
        raise PortMissing(f"{address}: expected socket://HOST:PORT such as socket://192.0.2.7:5025")
    return host, number
