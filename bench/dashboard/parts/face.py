"""One face of the window: what a stage of the job shows, and what can be done there."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.act import Act, Question
from bench.dashboard.parts.themed_widget import ThemedWidget
from bench.dashboard.state import Snapshot

__all__ = ["Face"]


class Face(ThemedWidget):
    """`acts_changed` when what can be done is another;  `asks` a Question that the window puts."""

    acts_changed = Signal()
    asks = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._acts: tuple[Act, ...] = ()

    @property
    def acts(self) -> tuple[Act, ...]:
        """What can be done here just now, the most likely first."""
        return self._acts

    def offer(self, acts: tuple[Act, ...]) -> None:
        """From now on these; the same keys and words are the same acts."""
        before = [(one.key, one.words, one.strong, one.large) for one in self._acts]
        self._acts = acts
        if before != [(one.key, one.words, one.strong, one.large) for one in acts]:
            self.acts_changed.emit()

    def show_state(self, state: Snapshot, now: float) -> None:
        """Draw what changed; now [s, monotonic]."""

    def arrived(self) -> None:
        """A person looks at it from now on."""

    def put(self, question: Question) -> None:
        """Have the window ask for a line."""
        self.asks.emit(question)
