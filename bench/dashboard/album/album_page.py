"""What the album shows: the pictures and notes in a list, the one that is looked at as large as there is room."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.album.album_choice import AlbumChoice
from bench.dashboard.album.pictures_view import PicturesView
from bench.dashboard.album.thumbnails import Thumbnail
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink
from bench.dashboard.record.rows import Rows
from bench.records.moments import minute

__all__ = ["AlbumPage"]

_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


class AlbumPage(QWidget):
    """Left the list, right what is looked at; as large as it goes, the list makes room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = QHBoxLayout(self)
        bare(line, spacing=10)
        self._list = CardFrame()
        column = QVBoxLayout(self._list)
        bare(column, margin=10, spacing=6)
        self.title = FitLabel(20, ink=Ink.COPPER)
        self.rows = Rows("pictures and notes", lines=2)
        column.addWidget(self.title, 8)
        column.addWidget(self.rows, 92)
        line.addWidget(self._list, 34)
        right = QWidget()
        self._right = QStackedLayout(right)
        self.picture = PicturesView(alone=True)
        self._paper = CardFrame()
        page = QVBoxLayout(self._paper)
        bare(page, margin=16, spacing=6)
        self.when, self.note = FitLabel(16, ink=Ink.QUIET), FitLabel(26, align=_TOP)
        page.addWidget(self.when, 8)
        page.addWidget(self.note, 92)
        self._right.addWidget(self.picture)
        self._right.addWidget(self._paper)
        line.addWidget(right, 66)

    def show_choice(self, choice: AlbumChoice, thumbnail: Thumbnail | None, problem: str) -> None:
        """thumbnail: None while it is being opened;  problem: why the record can't be read."""
        self._list.setVisible(not choice.large)
        self.title.say(problem or choice.words)
        self.rows.show_rows(choice.rows(), choice.place, has_keys=True)
        note = choice.note
        if note is not None:
            of = f", of {note.of}" if note.of else ""
            self.when.say(f"note, entry {note.seq}{of}, {minute(note.at)}")
            self.note.say(note.text)
            self._right.setCurrentWidget(self._paper)
            return
        shown = () if thumbnail is None else (thumbnail,)
        self.picture.show_pictures(shown, len(choice.pictures), opening=choice.picture is not None)
        self._right.setCurrentWidget(self.picture)
