"""Single keys from a terminal, without waiting and without Enter; the terminal is given back as it was."""

from __future__ import annotations

import codecs
import contextlib
import os
import sys
from types import TracebackType
from typing import Any, Protocol, Self

__all__ = ["KeyReader", "TerminalKeys", "keys_of_terminal"]

_ESCAPE = "\x1b"


class KeyReader(Protocol):
    """Keys that were pressed since the last look."""

    def pressed(self) -> list[str]: ...

    def again(self) -> None: ...

    def close(self) -> None: ...


class TerminalKeys:
    """Keys of a POSIX terminal.  Ctrl-C stays what it is.  Arrow keys and the like come as one key, `esc`."""

    def __init__(self, descriptor: int) -> None:
        import termios
        import tty

        self._descriptor = descriptor
        self._termios: Any = termios
        self._before = termios.tcgetattr(descriptor)
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._rest = ""
        self._setcbreak = tty.setcbreak
        self.again()

    def again(self) -> None:
        """Take the terminal, at first and after the program was stopped."""
        self._setcbreak(self._descriptor)
        mode = self._termios.tcgetattr(self._descriptor)
        mode[0] &= ~self._termios.IXON  # a Ctrl-S would stop our writing, and with it the count
        self._termios.tcsetattr(self._descriptor, self._termios.TCSADRAIN, mode)

    def pressed(self) -> list[str]:
        import select

        data = b""
        while select.select([self._descriptor], [], [], 0.0)[0]:
            try:
                more = os.read(self._descriptor, 1024)
            except OSError:
                break
            if not more:
                break
            data += more
        keys, self._rest = split_keys(self._rest + self._decoder.decode(data), more_may_come=bool(data))
        return keys

    def close(self) -> None:
        with contextlib.suppress(self._termios.error):  # the terminal may be gone
            self._termios.tcsetattr(self._descriptor, self._termios.TCSADRAIN, self._before)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


class _ConsoleKeys:
    """Keys of a Windows console; untried."""

    def __init__(self) -> None:
        import msvcrt

        self._console: Any = msvcrt

    def pressed(self) -> list[str]:
        keys = []
        while self._console.kbhit():
            key = self._console.getwch()
            if key in ("\x00", "\xe0"):  # the first half of an arrow key
                self._console.getwch()
                key = "arrow"
            keys.append("\n" if key == "\r" else key)
        return keys

    def again(self) -> None:
        """Nothing to take."""

    def close(self) -> None:
        """Nothing to give back."""


def keys_of_terminal() -> KeyReader | None:
    """A reader of the terminal on standard input; None where there is none."""
    if sys.stdin is None or not sys.stdin.isatty():
        return None
    if sys.platform == "win32":
        return _ConsoleKeys()
    return TerminalKeys(sys.stdin.fileno())


def split_keys(text: str, *, more_may_come: bool = False) -> tuple[list[str], str]:
    """Keys one by one, and what of a sequence has not ended yet; escape alone is `esc`, a sequence that begins
    with it `arrow`, whatever it is.

    more_may_come: an escape at the end may be the first half of an arrow key; the next look tells.
    """
    keys: list[str] = []
    place = 0
    while place < len(text):
        if text[place] != _ESCAPE:
            keys.append("\n" if text[place] == "\r" else text[place])
            place += 1
            continue
        begin = place
        place += 1
        ended = place < len(text) and text[place] not in "[O"
        if place < len(text) and text[place] in "[O":
            place += 1
            while place < len(text) and not ("@" <= text[place] <= "~"):
                place += 1
            ended = place < len(text)
            place += 1
        if not ended and more_may_come:
            return keys, text[begin:]
        keys.append("arrow" if text[begin + 1 : begin + 2] in ("[", "O") else "esc")
    return keys, ""
