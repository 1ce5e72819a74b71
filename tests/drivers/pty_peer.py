"""The far end of a pseudo-terminal, which can be killed and given back under the same name."""

from __future__ import annotations

import os
import select
import threading
import tty
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Self


class PtyPeer:
    """Answers each line it hears by `hear`; `say` sends by itself; `kill` hangs up. A line ends with `ends`."""

    def __init__(self, name: Path, hear: Callable[[bytes], bytes] = lambda _: b"", ends: bytes = b"\n") -> None:
        self._hear = hear
        self._ends = ends
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        name.unlink(missing_ok=True)
        name.symlink_to(os.ttyname(self._slave))
        self.device = str(name)
        self.heard: list[bytes] = []
        self._heard_one = threading.Condition()
        self._stop_read, self._stop_write = os.pipe()
        self._thread = threading.Thread(target=self._run, name=f"peer {name.name}")
        self._alive = True
        self._thread.start()

    def say(self, data: bytes) -> None:
        os.write(self._master, data)

    def wait_heard(self, line: bytes, timeout: float = 5.0) -> bool:
        """Whether `line` was heard before the time-out."""
        with self._heard_one:
            return self._heard_one.wait_for(lambda: line in self.heard, timeout)

    def wait_unread(self, timeout: float = 5.0) -> bool:
        """Whether something said can be read at the other end before the time-out."""
        return bool(select.select([self._slave], [], [], timeout)[0])

    def kill(self) -> None:
        if not self._alive:
            return
        self._alive = False
        os.write(self._stop_write, b"x")
        self._thread.join(5.0)
        for descriptor in (self._slave, self._master, self._stop_read, self._stop_write):
            os.close(descriptor)

    def _run(self) -> None:
        rest = b""
        while True:
            ready, _, _ = select.select([self._master, self._stop_read], [], [])
            if self._stop_read in ready:
                return
            *lines, rest = (rest + os.read(self._master, 4096)).split(self._ends)
            for line in lines:
                answer = self._hear(line)
                if answer:
                    os.write(self._master, answer)
                with self._heard_one:
                    self.heard.append(line)
                    self._heard_one.notify_all()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()
