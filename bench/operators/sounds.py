"""Signals for somebody who looks at the wire and not at the screen."""

from __future__ import annotations

import array
import contextlib
import math
import shutil
import sys
import tempfile
import time
import wave
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path
from types import TracebackType
from typing import Protocol, Self

from bench.operators.aside import Aside, Program, Running, start_program

__all__ = ["Note", "Signal", "Signals", "Silence", "Sounds", "find_players", "notes_of", "write_wav"]


class Signal(IntEnum):
    """What the person should hear; the greater is the more urgent."""

    WARNING = 1  # a mark is near
    TARGET = 2  # reached
    DONE = 3  # the winding is finished
    TROUBLE = 4  # count unsure, line lost, past the target, spindle turns on hold


@dataclass(frozen=True)
class Note:
    """at, seconds: begin and length, s;  hertz: pitch, Hz."""

    at: float
    hertz: float
    seconds: float

    @property
    def end(self) -> float:
        return self.at + self.seconds


# Told apart twice over, by how many and how fast (a terminal's bell has nothing else) and by whether they rise, fall
# or warble. Between 400 and 1100 Hz: above what a small loudspeaker leaves out, below what ears lose first.
_NOTES: dict[Signal, tuple[Note, ...]] = {
    Signal.WARNING: (Note(0.0, 660.0, 0.30),),
    Signal.TARGET: (Note(0.0, 523.0, 0.15), Note(0.25, 659.0, 0.15), Note(0.5, 1047.0, 0.45)),
    Signal.DONE: (Note(0.0, 784.0, 0.45), Note(0.65, 523.0, 0.6)),
    Signal.TROUBLE: tuple(Note(0.2 * place, (932.0, 440.0)[place % 2], 0.14) for place in range(6)),
}

_RATE = 22050
_PEAK = 0.6  # of full scale
_RAMP_S = 0.012  # shorter ones click
_OVERTONE = 0.3  # an octave up: a bare sine is hard to find in a room with a motor running
_HANGS_S = 3.0  # a player that runs on for so long after the last note
_LOOK_S = 0.02


def notes_of(signal: Signal) -> tuple[Note, ...]:
    return _NOTES[signal]


class Signals(Protocol):
    """What the winding needs of whoever sounds its signals."""

    def signal(self, signal: Signal) -> None: ...

    def looked(self) -> None: ...

    def close(self, patience_s: float = 0.0) -> None: ...


class Silence:
    """No sound at all."""

    def signal(self, signal: Signal) -> None:
        pass

    def looked(self) -> None:
        pass

    def close(self, patience_s: float = 0.0) -> None:
        pass


class Sounds:
    """Sounds one signal at a time: a more urgent one replaces it, any other is dropped. Never raises, never waits.

    Its owner calls `looked` some ten times a second or more often. Without a player that works the terminal's `bell`
    rings in the signal's rhythm.
    """

    def __init__(
        self,
        bell: Callable[[], None],
        players: Sequence[Program] | None = None,
        *,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._bell = bell
        self._clock = clock
        self._sleep = sleep
        self._sounding: Signal | None = None
        self._next: Signal | None = None
        self._bells: list[float] = []
        self._rung_until = float("-inf")
        self._closed = False
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        found = find_players() if players is None else players
        self._aside = Aside(found if found and self._written() else (), clock=clock)

    @property
    def player(self) -> str | None:
        """Name of the program that plays the next signal, None where the bell rings."""
        return self._aside.program

    @property
    def sounding(self) -> Signal | None:
        """What sounds now, or is about to."""
        return self._next or self._sounding

    def signal(self, signal: Signal) -> None:
        """Let it be heard, unless one that is as urgent sounds already."""
        self.looked()
        if self._closed or (self.sounding is not None and signal <= self.sounding):
            return
        self._next = signal
        self._aside.stop()
        self._bells = []
        self._rung_until = float("-inf")
        self.looked()

    def looked(self) -> None:
        """Ring what is due, take notice of what ended, begin what waits."""
        if self._closed:
            return
        if self._aside.looked() is not None and self._sounding is not None and self._next is None:
            self._begin_bells(self._sounding)
        self._ring()
        if self._aside.busy or self._bells or self._clock() < self._rung_until:
            return
        self._sounding, self._next = self._next, None
        if self._sounding is not None:
            self._begin(self._sounding)

    def close(self, patience_s: float = 0.0) -> None:
        """Be silent, after `patience_s` for the last signal to end; no player and no file is left behind."""
        give_up = self._clock() + patience_s
        while self.sounding is not None and self._clock() < give_up:
            self._sleep(_LOOK_S)
            self.looked()
        self._closed = True
        self._sounding = self._next = None
        self._aside.close()
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close(2.0 if error is None else 0.0)

    def _begin(self, signal: Signal) -> None:
        seconds = _length(signal)
        if self._folder is not None:
            file = str(_wav(self._folder.name, signal))
            if self._aside.begin(file, least_s=seconds / 2, most_s=seconds + _HANGS_S):
                return
        self._begin_bells(signal)
        self._ring()

    def _begin_bells(self, signal: Signal) -> None:
        now = self._clock()
        self._bells = [now + note.at for note in notes_of(signal)]
        self._rung_until = now + _length(signal)

    def _ring(self) -> None:
        """One bell at most: those that are late keep their distance, or the rhythm would be lost."""
        now = self._clock()
        if not self._bells or self._bells[0] > now:
            return
        late = now - self._bells.pop(0)
        self._bells = [due + late for due in self._bells]
        self._rung_until += late
        with contextlib.suppress(OSError, ValueError):  # the terminal is gone
            self._bell()

    def _written(self) -> bool:
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="turnproof-", ignore_cleanup_errors=True)
            for signal in Signal:
                write_wav(_wav(self._folder.name, signal), notes_of(signal))
        except OSError:  # no room: then the bell
            return False
        return True


def find_players(which: Callable[[str], str | None] = shutil.which, platform: str = sys.platform) -> list[Program]:
    """The programs that can play a WAV file here, in the order in which they are tried.

    On Windows the system itself plays. Tried on Linux with a program that stands for a player; macOS and Windows are
    untried.
    """
    if platform == "win32":
        return [Program("winsound", _start_winsound)]
    names = ("afplay",) if platform == "darwin" else ("pw-play", "paplay", "aplay")
    return [_player(name, path) for name in names if (path := which(name)) is not None]


def write_wav(path: Path, notes: Sequence[Note]) -> None:
    """The notes as a WAV file with one channel of 16 bits; raises OSError."""
    samples = array.array("h", bytes(2 * round(_RATE * max(note.end for note in notes))))
    for note in notes:
        first, count = round(_RATE * note.at), round(_RATE * note.seconds)
        for place, level in enumerate(_levels(note, count), start=first):
            samples[place] = level
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(_RATE)
        file.writeframes(samples.tobytes())


def _levels(note: Note, count: int) -> list[int]:
    ramp = round(_RATE * _RAMP_S)
    swell = [0.5 - 0.5 * math.cos(math.pi * place / ramp) for place in range(ramp)]
    turn = 2 * math.pi * note.hertz / _RATE
    scale = 32767 * _PEAK / (1 + _OVERTONE)
    levels = [scale * (math.sin(turn * n) + _OVERTONE * math.sin(2 * turn * n)) for n in range(count)]
    for place, part in enumerate(swell):
        levels[place] *= part
        levels[-1 - place] *= part
    return [round(level) for level in levels]


def _length(signal: Signal) -> float:
    return max(note.end for note in notes_of(signal))


def _wav(folder: str, signal: Signal) -> Path:
    return Path(folder) / f"{signal.name.lower()}.wav"


def _player(name: str, path: str) -> Program:
    quiet = ["-q"] if name == "aplay" else []
    return Program(name, lambda file: start_program([path, *quiet, file]))


class _WinSound:
    """What stands for a program where the system itself plays."""

    def __init__(self, seconds: float) -> None:
        self._end = time.monotonic() + seconds

    def poll(self) -> int | None:
        return None if time.monotonic() < self._end else 0

    def kill(self) -> None:
        self._end = float("-inf")
        if sys.platform == "win32":
            import winsound

            with contextlib.suppress(RuntimeError):
                winsound.PlaySound(None, 0)

    def wait(self, timeout_s: float) -> None:
        pass


def _start_winsound(file: str) -> Running:
    with wave.open(file) as read:
        seconds = read.getnframes() / read.getframerate()
    if sys.platform == "win32":
        import winsound

        winsound.PlaySound(file, winsound.SND_FILENAME | winsound.SND_ASYNC | winsound.SND_NODEFAULT)
    return _WinSound(seconds)
