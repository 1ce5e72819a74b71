"""The far end of a line: a meter that answers in order and in its own time, behind a pseudo-terminal or a socket."""

from __future__ import annotations

import errno
import os
import select
import socket
import threading
import time
import tty
from collections import deque
from collections.abc import Callable
from pathlib import Path

from .meters import Chunks

__all__ = ["PtyMeter", "SocketMeter"]

Hear = Callable[[str], Chunks]


class _Peer:
    """Runs `hear` in a thread. Answers keep their order: one that is late holds up those behind it.

    garble: what the bytes look like at the other end.  ends: what ends a message.
    """

    def __init__(self, hear: Hear, garble: Callable[[bytes], bytes] = lambda data: data, ends: bytes = b"\n") -> None:
        self._hear = hear
        self._garble = garble
        self._ends = ends
        self._due: deque[tuple[float, bytes]] = deque()
        self._rest = b""
        self._lock = threading.Lock()
        self._wake_read, self._wake_write = os.pipe()
        self._stopping = self._killed = False
        self._deaf = False
        self._flooding = b""
        self._heard_one = threading.Condition()
        self.heard: list[str] = []
        self._thread = threading.Thread(target=self._run, name="peer of thirty")

    def say(self, data: bytes, after_s: float = 0.0) -> None:
        """Send by itself."""
        with self._lock:
            self._due.append((time.monotonic() + after_s, data))
        self._wake()

    def wait_sent(self, timeout: float = 5.0) -> bool:
        """Whether all that was said is on the line before the time-out."""
        give_up = time.monotonic() + timeout
        while time.monotonic() < give_up:
            with self._lock:
                if not self._due:
                    return True
            time.sleep(0.001)
        return False

    def flood(self, data: bytes) -> None:
        """Send this without an end, until it is b""."""
        self._flooding = data
        self._wake()

    def turn_deaf(self, deaf: bool = True) -> None:
        """Read nothing more from the line."""
        self._deaf = deaf
        self._wake()

    def wait_heard(self, message: str, timeout: float = 5.0) -> bool:
        with self._heard_one:
            return self._heard_one.wait_for(lambda: message in self.heard, timeout)

    def answers_with(self, hear: Hear) -> None:
        """Another meter is behind the line from now on."""
        self._hear = hear

    def ended(self) -> bool:
        """Whether it has hung up by itself."""
        return not self._thread.is_alive()

    def kill(self) -> None:
        """Hang up; may be called twice."""
        if self._killed:
            return
        self._killed = self._stopping = True
        self._wake()
        self._thread.join(5.0)
        for descriptor in (self._wake_read, self._wake_write):
            os.close(descriptor)
        self._close()

    def hang_up(self) -> None:
        """The line goes when the message is heard that is being heard, after what is due by then; `kill` cleans up."""
        self._stopping = True
        self._wake()

    # -- of the thread -------------------------------------------------------------------------------

    def _descriptor(self) -> int:
        raise NotImplementedError

    def _close(self) -> None:
        raise NotImplementedError

    def _wake(self) -> None:
        if not self._killed or self._thread.is_alive():
            os.write(self._wake_write, b"x")

    def _run(self) -> None:
        while not self._stopping:
            self._send_due()
            descriptor = self._descriptor()
            reading = [self._wake_read] if self._deaf else [self._wake_read, descriptor]
            writing = [descriptor] if self._flooding else []
            ready, writable, _ = select.select(reading, writing, [], self._pause())
            if self._wake_read in ready:
                os.read(self._wake_read, 4096)
            if writable and self._flooding:
                self._write(self._flooding)
            if descriptor in ready:
                self._take(os.read(descriptor, 4096))

    def _pause(self) -> float | None:
        with self._lock:
            return max(0.0, self._due[0][0] - time.monotonic()) if self._due else None

    def _take(self, data: bytes) -> None:
        *messages, self._rest = (self._rest + data).split(self._ends)
        for message in messages:
            text = message.decode("ascii", "replace").strip("\r")
            due = time.monotonic()
            with self._lock:
                due = max(due, self._due[-1][0] if self._due else due)
                for delay, chunk in self._hear(text):
                    due += delay
                    self._due.append((due, chunk))
            self._send_due()
            with self._heard_one:
                self.heard.append(text)
                self._heard_one.notify_all()

    def _send_due(self) -> None:
        with self._lock:
            while self._due and self._due[0][0] <= time.monotonic():
                self._write(self._garble(self._due.popleft()[1]))

    def _write(self, data: bytes) -> None:
        try:
            os.write(self._descriptor(), data)
        except BlockingIOError:
            pass
        except OSError as error:
            if error.errno not in (errno.EIO, errno.EPIPE, errno.ECONNRESET):
                raise


class PtyMeter(_Peer):
    """Behind a pseudo-terminal that is met under `name`, which a later one may take over."""

    def __init__(self, name: Path, hear: Hear, **changes: object) -> None:
        super().__init__(hear, **changes)  # type: ignore[arg-type]
        self._master, self._slave = os.openpty()
        os.set_blocking(self._master, False)
        tty.setraw(self._slave)
        self._name = name
        name.unlink(missing_ok=True)
        name.symlink_to(os.ttyname(self._slave))
        self.device = str(name)
        self._thread.start()

    def earlier_program_says(self, data: bytes) -> None:
        """Bytes that another program sent before we came."""
        os.write(self._slave, data)

    def kill_and_unplug(self) -> None:
        """Hang up, and take the name away too."""
        self.kill()
        self._name.unlink(missing_ok=True)

    def _descriptor(self) -> int:
        return self._master

    def _close(self) -> None:
        os.close(self._slave)
        os.close(self._master)


class SocketMeter(_Peer):
    """Behind a socket that serves one client at a time; a second is connected, and waits in silence."""

    def __init__(self, hear: Hear, number: int = 0, **changes: object) -> None:
        super().__init__(hear, **changes)  # type: ignore[arg-type]
        self._listening = socket.create_server(("127.0.0.1", number), backlog=4)
        self.number = self._listening.getsockname()[1]
        self.device = f"socket://127.0.0.1:{self.number}"
        self._client: socket.socket | None = None
        self._thread.start()

    def close_after(self, last: bytes) -> None:
        """From within `hear`: send this, close the connection, and serve the next."""
        client, self._client = self._client, None
        if client is not None:
            client.sendall(last)
            client.close()

    def _descriptor(self) -> int:
        return self._client.fileno() if self._client is not None else self._listening.fileno()

    def _take(self, data: bytes) -> None:
        if data:
            super()._take(data)
            return
        if self._client is not None:
            self._client.close()
            self._client = None

    def _run(self) -> None:
        while not self._stopping:
            try:
                if self._client is None:
                    ready, _, _ = select.select([self._listening, self._wake_read], [], [])
                    if self._wake_read in ready:
                        os.read(self._wake_read, 4096)
                    if self._listening in ready:
                        self._client, _ = self._listening.accept()
                        self._rest = b""
                    continue
                self._serve_once()
            except (OSError, ValueError):  # the client was dropped meanwhile
                continue

    def _serve_once(self) -> None:
        client = self._client
        if client is None:
            return
        self._send_due()
        ready, _, _ = select.select([client, self._wake_read], [], [], self._pause())
        if self._wake_read in ready:
            os.read(self._wake_read, 4096)
        if client in ready:
            self._take(client.recv(4096))

    def _close(self) -> None:
        if self._client is not None:
            self._client.close()
        self._listening.close()
