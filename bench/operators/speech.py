"""The count spoken aloud, for somebody whose eyes and hands are at the wire."""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from types import TracebackType
from typing import Self

from bench.operators.aside import Aside, Program, Running, start_program

__all__ = ["Speaker", "find_voices"]

_LONGEST = 120  # characters; a count has few
_SHORTEST_S = 0.15  # no word is shorter
_HANGS_S = 15.0
_LOOK_S = 0.02

# What is said is read from standard input and is never part of the command.
_SYSTEM_SPEECH = (
    "[Console]::InputEncoding = [Text.Encoding]::UTF8; Add-Type -AssemblyName System.Speech; "
    "(New-Object System.Speech.Synthesis.SpeechSynthesizer).Speak([Console]::In.ReadToEnd())"
)


class Speaker:
    """Says one thing after the other; of those that wait only the newest. Never raises, never waits.

    Its owner calls `looked` some ten times a second or more often: what waits begins there.
    """

    def __init__(
        self,
        voices: Sequence[Program] | None = None,
        *,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._aside = Aside(find_voices() if voices is None else voices, clock=clock)
        self._clock = clock
        self._sleep = sleep
        self._waiting: str | None = None
        self._closed = False

    @property
    def voice(self) -> str | None:
        """Name of the program that speaks next, None where none is there that works."""
        return self._aside.program

    def say(self, text: str) -> None:
        """Say it now, or when what is being said is finished; what waited until now is stale and dropped."""
        words = _one_line(text)
        if words and not self._closed:
            self._waiting = words
            self.looked()

    def looked(self) -> None:
        """Take notice of what was said to its end, and begin what waits."""
        if self._closed:
            return
        self._aside.looked()
        if self._waiting is not None and not self._aside.busy:
            words, self._waiting = self._waiting, None
            self._aside.begin(words, least_s=_SHORTEST_S, most_s=_HANGS_S)

    def close(self, patience_s: float = 0.0) -> None:
        """Be silent, after `patience_s` for the last words; no program is left behind."""
        give_up = self._clock() + patience_s
        while (self._aside.busy or self._waiting is not None) and self._clock() < give_up:
            self._sleep(_LOOK_S)
            self.looked()
        self._closed = True
        self._waiting = None
        self._aside.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close(3.0 if error is None else 0.0)


def find_voices(
    which: Callable[[str], str | None] = shutil.which,
    platform: str = sys.platform,
    environ: Mapping[str, str] = os.environ,
) -> list[Program]:
    """The programs that can speak here, in the order in which they are tried.

    espeak-ng was tried, to a file; the others are untried. spd-say hands the words to a service of the user's own,
    which finishes them by itself.
    """
    if platform == "win32":
        # by its whole path: a search on Windows begins in the folder where one stands
        folder = os.path.join(environ.get("SystemRoot", r"C:\Windows"), "System32", "WindowsPowerShell", "v1.0")
        command = [os.path.join(folder, "powershell.exe"), "-NoProfile", "-NonInteractive", "-Command", _SYSTEM_SPEECH]
        return [_reader("System.Speech", command)]
    known: dict[str, Callable[[str], Program]] = {
        # -z: without the pause at the end, in which the next number would wait
        "espeak-ng": lambda path: _reader("espeak-ng", [path, "-v", "en", "-z", "--stdin"]),
        "spd-say": lambda path: _told("spd-say", [path, "--wait", "--language", "en", "--"]),
    }
    if platform == "darwin":
        known = {"say": lambda path: _reader("say", [path, "-f", "-"]), **known}
    return [make(path) for name, make in known.items() if (path := which(name)) is not None]


def _reader(name: str, command: list[str]) -> Program:
    return Program(name, lambda text: start_program(command, text))


def _told(name: str, command: list[str]) -> Program:
    """A program that takes the words as its last argument, after the mark that ends its options."""

    def start(text: str) -> Running:
        return start_program([*command, text])

    return Program(name, start)


def _one_line(text: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:_LONGEST]
