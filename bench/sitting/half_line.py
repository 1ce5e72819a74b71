"""A counter as it is told to a person: the half line on which one begins to listen is no damage."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from drivers.counter import LinkCameBack
from drivers.counting import BadLine

__all__ = ["HalfLine"]


class HalfLine:
    """Leaves out the first line that came since the port was opened, where it is damaged; the wire log has it.

    The board talks all the time: whoever opens its port nearly always begins in the middle of a line. A second line
    that is damaged is told as any other.
    """

    def __init__(self) -> None:
        self._begun = False

    def without(self, events: Sequence[Any]) -> list[Any]:
        """The events of one poll, in their order, without it."""
        told = []
        for event in events:
            half = isinstance(event, BadLine) and not self._begun
            self._begun = not isinstance(event, LinkCameBack)
            if not half:
                told.append(event)
        return told
