"""The face of the stage record."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from bench.dashboard.desk import Desk
from bench.dashboard.parts.face import Face

__all__ = ["RecordFace"]


class RecordFace(Face):
    """Not drawn yet."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
