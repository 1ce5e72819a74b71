"""Ctrl-Z and back: the terminal is given back before the program stops, and taken again when it goes on."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Sequence
from types import FrameType
from typing import Any

__all__ = ["StopsAndGoesOn"]


class StopsAndGoesOn:
    """`look` in the loop of whoever owns the screen: a signal only asks, since it may come in the middle of a write."""

    def __init__(self, give_back: Sequence[Callable[[], None]], take_again: Sequence[Callable[[], None]]) -> None:
        self._give_back, self._take_again = give_back, take_again
        self._asked = False
        self._before: Any = None
        self._watches = hasattr(signal, "SIGTSTP") and threading.current_thread() is threading.main_thread()
        if self._watches:
            self._before = signal.signal(signal.SIGTSTP, self._ask)

    def look(self) -> None:
        if not self._asked:
            return
        self._asked = False
        for act in self._give_back:
            act()
        os.kill(os.getpid(), signal.SIGSTOP)  # here it stands until somebody says `fg`
        for act in self._take_again:
            act()

    def close(self) -> None:
        if self._watches:
            signal.signal(signal.SIGTSTP, self._before)

    def _ask(self, number: int, frame: FrameType | None) -> None:
        self._asked = True
