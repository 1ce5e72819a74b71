"""Serial ports that other programs open by name: pseudo-terminals behind a stable link, or sockets."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import struct
import time
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

__all__ = ["Port", "PtyPort", "SocketPort", "have_pseudo_terminals"]

_MOST_HELD = 65536  # bytes kept for a client that does not read
_CROSSING = 0.03  # s
_LINGER = 0.2  # s given to a client to read the last line


class Port(Protocol):
    """One end of a line; `name` is what the other program opens."""

    name: str

    def handles(self) -> list[int]:
        """File descriptors to wait on for reading."""
        ...

    def receive(self, handle: int) -> bytes | None:
        """What came on a handle; None when that client went away."""
        ...

    def send(self, data: bytes, handle: int | None = None) -> None:
        """Send to the client of a handle, or to whoever listens; what doesn't fit is lost by whole lines."""
        ...

    def unplug(self) -> None:
        """Vanish."""
        ...

    def plug(self) -> None:
        """Come back under the same name."""
        ...

    def close(self) -> None:
        """Vanish for good."""
        ...


def have_pseudo_terminals() -> bool:
    """Whether this platform has pseudo-terminals, and gives one: a container may have none."""
    if not hasattr(os, "openpty") or os.name != "posix":
        return False
    try:
        ends = os.openpty()
    except OSError:
        return False
    for end in ends:
        os.close(end)
    return True


class PtyPort:
    """A pseudo-terminal; the link that names it survives unplugging."""

    def __init__(self, link: Path) -> None:
        self.name = str(link)
        self._link = link
        self._master, self._slave = -1, -1
        self._held = b""
        self.plug()

    def handles(self) -> list[int]:
        return [self._master] if self._master >= 0 else []

    def receive(self, handle: int) -> bytes | None:
        try:
            return os.read(handle, 4096)
        except OSError:
            return None

    def send(self, data: bytes, handle: int | None = None) -> None:
        if self._master < 0:
            return
        self._held = _write(lambda part: os.write(self._master, part), self._held, data)

    def unplug(self) -> None:
        if self._master < 0:
            return
        with contextlib.suppress(FileNotFoundError):
            self._link.unlink()
        os.close(self._master)
        os.close(self._slave)
        self._master, self._slave, self._held = -1, -1, b""

    def plug(self) -> None:
        if self._master >= 0:
            return
        import tty

        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        # Made aside and moved: whoever looks for the name finds a whole link.
        fresh = self._link.with_name(self._link.name + ".new")
        fresh.symlink_to(os.ttyname(self._slave))
        fresh.replace(self._link)

    def close(self) -> None:
        # A hang-up throws away what the other side has not read yet: the answer to `quit`, for one. The kernel
        # carries bytes across a little after the write, so the first look must not come at once.
        if self._master >= 0:
            time.sleep(_CROSSING)
        deadline = time.monotonic() + _LINGER
        while self._unread() and time.monotonic() < deadline:
            time.sleep(0.002)
        self.unplug()

    def _unread(self) -> int:
        if self._slave < 0:
            return 0
        import fcntl
        import termios

        (count,) = struct.unpack("i", fcntl.ioctl(self._slave, termios.FIONREAD, b"\0\0\0\0"))
        return int(count)


class SocketPort:
    """A listener on this machine; it may have more than one client, each answered on its own line."""

    def __init__(self) -> None:
        self._listener: socket.socket | None = None
        self._clients: dict[int, socket.socket] = {}
        self._held: dict[int, bytes] = {}
        self._number = 0
        self.plug()
        self.name = f"socket://127.0.0.1:{self._number}"

    def handles(self) -> list[int]:
        return list(self._clients) + ([self._listener.fileno()] if self._listener is not None else [])

    def receive(self, handle: int) -> bytes | None:
        if self._listener is not None and handle == self._listener.fileno():
            client, _ = self._listener.accept()
            client.setblocking(False)
            client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self._clients[client.fileno()] = client
            return b""
        if handle not in self._clients:
            return None
        try:
            data = self._clients[handle].recv(4096)
        except BlockingIOError:
            return b""
        except OSError:
            data = b""
        if not data:
            self._drop(handle)
            return None
        return data

    def send(self, data: bytes, handle: int | None = None) -> None:
        for number in [handle] if handle is not None else list(self._clients):
            client = self._clients.get(number)
            if client is not None:
                self._held[number] = _write(client.send, self._held.get(number, b""), data)

    def unplug(self) -> None:
        if self._listener is not None:
            self._listener.close()
            self._listener = None
        for number in list(self._clients):
            self._drop(number)

    def plug(self) -> None:
        if self._listener is not None:
            return
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if os.name == "posix":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(("127.0.0.1", self._number))
        listener.listen(4)
        self._number = listener.getsockname()[1]
        self._listener = listener

    def close(self) -> None:
        self.unplug()

    def _drop(self, number: int) -> None:
        self._held.pop(number, None)
        client = self._clients.pop(number, None)
        if client is not None:
            client.close()


def _write(write: Callable[[bytes], int], held: bytes, data: bytes) -> bytes:
    """Write what fits, hold the rest; when too much is held, whole new lines are lost, as on a real adapter."""
    todo = held + data if len(held) < _MOST_HELD else held
    while todo:
        try:
            sent = write(todo)
        except OSError as error:
            if error.errno in (errno.EAGAIN, errno.EWOULDBLOCK):
                break
            return b""
        todo = todo[sent:]
    return todo
