"""What happens at the spindle while the demo counts: a lost line, a lost port and a reversal on the way."""

from __future__ import annotations

from typing import Any

from bench.operators.rehearsal import ControlPort
from bench.winding.progress import Progress

__all__ = ["WindingScript"]


class WindingScript:
    """Watches the count and pulls the strings of the rehearsal when it passes certain marks."""

    def __init__(self, control: ControlPort, target: int, rpm: float = 420.0) -> None:
        self._control = control
        self._target = target
        self._rpm = rpm
        self._acts = [
            (0.20, "two lines are lost", self._lose_lines),
            (0.40, "the counter's cable is out for a moment", self._unplug),
            (0.60, "five turns are taken back", self._reverse),
        ]
        self.told: list[str] = []
        self._backwards = False

    def begin(self) -> None:
        """Set the spindle turning towards the target."""
        self._control.do("spindle", to=float(self._target), rpm=self._rpm)

    def progressed(self, progress: Progress) -> None:
        """An observer of the winding."""
        if self._acts and progress.turns >= self._acts[0][0] * self._target:
            _, words, act = self._acts.pop(0)
            self.told.append(words)
            act()
        elif self._backwards and progress.speed <= 0:
            self._backwards = False
            self._control.do("spindle", wait=True)
            self.begin()

    def count_event(self, event: Any) -> None:
        """Events are shown by others."""

    def _lose_lines(self) -> None:
        self._control.do("drop", lines=2)

    def _unplug(self) -> None:
        self._control.do("unplug", port="counter", seconds=0.4)

    def _reverse(self) -> None:
        self._backwards = True
        self._control.do("spindle", by=-5.0, rpm=60.0)
