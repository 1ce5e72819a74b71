"""Lines that a person types, asked for one by one or watched for while something else goes on."""

from __future__ import annotations

import contextlib
import os
import queue
import sys
import threading
from typing import Protocol

import click

from bench.cli.wrapped import terminal_columns, wrapped

__all__ = ["TypedLines"]

_CHUNK = 4096
_LOOK_S = 0.5  # on some systems Ctrl-C is not heard inside a wait without end


class _Stream(Protocol):
    def fileno(self) -> int: ...
    def readline(self) -> str: ...


class TypedLines:
    """Of a stream's lines the only reader: what somebody else of this process reads there, is lost to it.

    A thread waits for them, since there is no other way on every system to look for a typed line without waiting. It
    reads the file below the stream: a thread inside the stream would hold its lock when the process ends.
    """

    def __init__(self, stream: _Stream | None, *, prompts_on_stderr: bool = False) -> None:
        self._stream = stream
        self._err = prompts_on_stderr
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._next: list[str | None] = []
        self._reader: threading.Thread | None = None

    def ask(self, prompt: str) -> str:
        """The next line without its end; raises EOFError where there is none any more."""
        columns = terminal_columns(sys.stderr if self._err else sys.stdout)
        click.echo(wrapped(prompt, columns), nl=False, err=self._err)
        self._begin()
        while not self._look(_LOOK_S):
            pass
        line = self._next[0]
        if line is None:
            raise EOFError
        self._next.clear()
        return line

    def waiting(self) -> bool:
        """Whether a line, or the end of the input, stands ready; never waits."""
        self._begin()
        return self._look(0.0)

    def take(self) -> str | None:
        """The line that stands ready, None at the end of the input or where none does; never waits."""
        if not self.waiting() or self._next[0] is None:
            return None
        return self._next.pop()

    def typed_within(self, seconds: float) -> bool:
        """Whether a line was typed within so many seconds, which is then taken, or the input has ended."""
        self._begin()
        if not self._look(seconds):
            return False
        if self._next[0] is not None:
            self._next.clear()
        return True

    def at_end(self) -> bool:
        """Whether what stands ready is the end of the input."""
        return self.waiting() and self._next[0] is None

    def _look(self, timeout_s: float) -> bool:
        if not self._next:
            with contextlib.suppress(queue.Empty):
                self._next.append(self._lines.get(timeout=timeout_s) if timeout_s else self._lines.get_nowait())
        return bool(self._next)

    def _begin(self) -> None:
        if self._reader is None:
            self._reader = threading.Thread(target=self._read, name="typed lines", daemon=True)
            self._reader.start()

    def _read(self) -> None:
        try:
            if self._stream is not None:
                self._read_all(self._stream)
        except (OSError, ValueError):  # a terminal that was closed, a stream that was
            pass
        self._lines.put(None)

    def _read_all(self, stream: _Stream) -> None:
        try:
            handle = stream.fileno()
        except (OSError, AttributeError):  # no file, such as text in memory
            while line := stream.readline():
                self._lines.put(line.rstrip("\r\n"))
            return
        rest = b""
        while data := os.read(handle, _CHUNK):
            *whole, rest = (rest + data).split(b"\n")
            for one in whole:
                self._lines.put(one.decode("utf-8", "replace").rstrip("\r"))
        if rest:
            self._lines.put(rest.decode("utf-8", "replace"))
