"""What is heard of a winding in progress, and the same in words for who can't hear it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

from bench.operators.sounds import Signal, Signals, Silence, Sounds
from bench.operators.speech import Speaker
from bench.operators.spoken_steps import Mark as SpokenMark
from bench.operators.spoken_steps import SpokenSteps
from bench.sitting.inert_text import Own
from bench.winding.attention import Attention, Urgency
from bench.winding.progress import Progress

__all__ = ["Alerts"]

_SIGNALS = {
    Urgency.WARNING: Signal.WARNING,
    Urgency.REACHED: Signal.TARGET,
    Urgency.TROUBLE: Signal.TROUBLE,
    Urgency.DONE: Signal.DONE,
}
_PATIENCE_S = 2.0


class Alerts:
    """An observer of the session; `tell` shows the words, beside what has its own place on the screen."""

    def __init__(self, tell: Callable[[str], None], *, sounds: bool, speak: int | None) -> None:
        self._tell = tell
        self._attention = Attention()
        self._loud: Signals = Sounds(_bell) if sounds else Silence()
        self._silence = Silence()
        self._sounding = sounds
        self._speaker = Speaker() if speak is not None else None
        self._steps = SpokenSteps(speak or None, marks=True) if speak is not None else None
        self._progress: Progress | None = None
        if self._speaker is not None and self._speaker.voice is None:
            self._tell("no speech program is here: install espeak-ng, or leave --speak away")

    def progressed(self, progress: Progress) -> None:
        before, self._progress = self._progress, progress
        for alert in self._attention.after(progress):
            self._signals.signal(_SIGNALS[alert.urgency])
            self._tell(alert.words)
        if self._steps is None or self._speaker is None or progress.held:
            return
        mark = progress.next_mark
        ahead = [SpokenMark(mark.turn, mark.name)] if mark is not None else []
        ahead += [SpokenMark(one.turn, one.name) for one in progress.waiting]
        text = self._steps.said(before.turns if before is not None else progress.turns, progress.turns, ahead)
        if text is not None:
            self._speaker.say(text)

    def count_event(self, event: Any) -> None:
        for alert in self._attention.event(event):
            self._signals.signal(_SIGNALS[alert.urgency])

    def done(self) -> None:
        self._signals.signal(Signal.DONE)

    def say_count(self) -> None:
        """Once, because somebody asked."""
        if self._progress is None:
            return
        if self._speaker is None:
            self._speaker = Speaker()
        if self._speaker.voice is None:
            self._tell("no speech program is here: install espeak-ng")
        self._speaker.say(f"{self._progress.turns:.0f}, {self._progress.to_go:.0f} to go")

    def toggle_sounds(self) -> bool:
        self._sounding = not self._sounding
        if self._sounding and isinstance(self._loud, Silence):
            self._loud = Sounds(_bell)
        return self._sounding

    def looked(self) -> None:
        self._loud.looked()
        if self._speaker is not None:
            self._speaker.looked()

    def close(self) -> None:
        self._loud.close(patience_s=_PATIENCE_S)
        if self._speaker is not None:
            self._speaker.close(patience_s=_PATIENCE_S)

    @property
    def _signals(self) -> Signals:
        return self._loud if self._sounding else self._silence


def _bell() -> None:
    if sys.stdout.isatty():
        sys.stdout.write(Own("\a"))
        sys.stdout.flush()
