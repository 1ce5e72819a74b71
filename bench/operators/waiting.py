"""Waiting at a terminal: what is left is shown as it goes by, and Enter cuts it short."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

__all__ = ["Pause", "TerminalPause"]

_EACH = 1.0  # seconds between two looks on a terminal
_EACH_PRINTED = 60.0  # and between two lines where nothing can be overwritten


class Pause(Protocol):
    """Lets time pass."""

    def run(self, seconds: float) -> bool:
        """Whether they are over; False where somebody pressed Enter before."""
        ...


class TerminalPause:
    """Shows the time that is left.

    pressed: waits so many seconds at most, and says whether Enter came;  show: writes a line over the one before, where
    `overwrites` is True, or below it;  clock [s].
    """

    def __init__(
        self,
        pressed: Callable[[float], bool],
        show: Callable[[str], None],
        clock: Callable[[], float],
        *,
        overwrites: bool,
    ) -> None:
        self._pressed = pressed
        self._show = show
        self._clock = clock
        self._overwrites = overwrites
        self._each = _EACH if overwrites else _EACH_PRINTED

    def run(self, seconds: float) -> bool:
        over = self._count_down(seconds)
        if self._overwrites:
            self._show("")  # the next line begins at the left again
        return over

    def _count_down(self, seconds: float) -> bool:
        end = self._clock() + seconds
        shown = ""
        while (left := end - self._clock()) > 0:
            text = f"  {_left_text(left)} left; Enter ends it early"
            if text != shown:
                self._show(text)
                shown = text
            if self._pressed(min(self._each, left)):
                return False
        return True


def _left_text(seconds: float) -> str:
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60}:{rest % 60:02}"
