"""What is kept of each job: find it, read its history, open its certificate, add a note or a picture."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt, QUrl
from PySide6.QtGui import QDesktopServices, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QSizePolicy, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.album.album_acts import AlbumActs
from bench.dashboard.album.pictures_view import PicturesView
from bench.dashboard.album.thumbnails import Thumbnail, read_thumbnails
from bench.dashboard.desk import Desk
from bench.dashboard.news import Reckoned
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, font_of, scale_of
from bench.dashboard.parts.paths import pictures_near
from bench.dashboard.record.acts import CERTIFICATE, HISTORY, JOBS, KEPT, VERIFIED, RecordActs
from bench.dashboard.record.detail import detail_of
from bench.dashboard.record.job_head import JobHead
from bench.dashboard.record.rows import Rows
from bench.dashboard.state import Snapshot
from bench.records.attachments import attachments_folder
from bench.records.entry import Kind
from bench.records.home import store_path
from bench.sitting.history import Line
from bench.sitting.jobs_known import unkept
from bench.sitting.record_checked import Checked

__all__ = ["RecordFace"]

_THUMBNAILS, _PICTURES = "thumbnails", "pictures near the record"
_SMALL, _LARGE = 400, 1200
_A_STRIP = 3
_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


class RecordFace(Face):
    """Left the jobs, right the history of the one that is looked at."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._shown: Snapshot | None = None
        self._of: tuple[object, str] = (None, "")
        self._seen: dict[str, Reckoned] = {}
        self._lines: tuple[Line | None, ...] = ()
        self._thumbnails: tuple[Thumbnail, ...] = ()
        self._asked: tuple[object, ...] = ()
        self.album = AlbumActs(desk, self, self._turn, self._pictures)
        self._acts_of = RecordActs(
            desk, self, self._draw, self._search, self._pictures, lambda: self.history.a_page, self.album.open
        )
        self._pages = QStackedLayout(self)
        record = QWidget()
        self._pages.addWidget(record)
        self._pages.addWidget(self.album.page)
        line = QHBoxLayout(record)
        bare(line, spacing=10)
        line.addWidget(self._jobs(), 36)
        right = QVBoxLayout()
        bare(right, spacing=8)
        self.head = JobHead()
        right.addWidget(self.head, 21)
        right.addWidget(self._history(), 49)
        right.addLayout(self._foot(), 30)
        line.addLayout(right, 64)
        self._draw()

    def _jobs(self) -> CardFrame:
        panel = CardFrame()
        column = QVBoxLayout(panel)
        bare(column, margin=10, spacing=6)
        self.search = QLineEdit()
        self.search.setPlaceholderText("search: / then number, name, date, verdict")
        self.search.setAccessibleName("search the jobs by number, name, date or verdict")
        self.search.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.search.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.search.installEventFilter(self)
        self.search.textChanged.connect(self._acts_of.seek)
        self.how_many = FitLabel(16, ink=Ink.QUIET)
        self.jobs = Rows("jobs", lines=2)
        self.jobs.picked.connect(self._acts_of.pick_job)
        column.addWidget(self.search, 0)
        column.addWidget(self.how_many, 6)
        column.addWidget(self.jobs, 94)
        return panel

    def _history(self) -> CardFrame:
        panel = CardFrame()
        column = QVBoxLayout(panel)
        bare(column, margin=8)
        self.history = Rows("history, newest first")
        self.history.picked.connect(self._pick_line)
        column.addWidget(self.history)
        return panel

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        bare(foot, spacing=8)
        panel = CardFrame()
        column = QVBoxLayout(panel)
        bare(column, margin=10, spacing=2)
        self.detail_title = FitLabel(16, ink=Ink.QUIET)
        self.detail = FitLabel(20, align=_TOP)
        column.addWidget(self.detail_title, 20)
        column.addWidget(self.detail, 80)
        self.pictures = PicturesView()
        foot.addWidget(panel, 48)
        foot.addWidget(self.pictures, 52)
        return foot

    def _turn(self) -> None:
        """To the album, or back."""
        self._pages.setCurrentIndex(1 if self.album.is_open else 0)
        if not self.album.is_open:
            self._acts_of.look()
            self._draw()
            self._acts_of.offer()

    # -- what comes --------------------------------------------------------------------------------

    def show_state(self, state: Snapshot, now: float) -> None:
        """Draw what changed."""
        of = (state.job, state.doing)
        if of != self._of:
            before, self._of = self._of[0], of
            if state.job is not None and state.job is not before:
                self._acts_of.choice.choose_number(state.job.identity.number)
                self.album.leave()
            self._acts_of.look()
        if state is self._shown:
            return
        self._shown = state
        self.album.show_state(state)
        if any([self._take(state, name) for name in (JOBS, HISTORY, VERIFIED, KEPT, CERTIFICATE, _THUMBNAILS)]):
            self._draw()
            if not self.album.is_open:
                self._acts_of.offer()

    def arrived(self) -> None:
        self._acts_of.look()
        path = self._desk.state.path
        folders = [Path.cwd(), *([] if path is None else [path.parent])]
        self._desk.reckon(_PICTURES, lambda: pictures_near(*folders))

    def _take(self, state: Snapshot, name: str) -> bool:
        """Whether something new was reckoned under that name."""
        reckoned = state.reckoned.get(name)
        if reckoned is None or reckoned is self._seen.get(name):
            return False
        self._seen[name] = reckoned
        value, acts = reckoned.value, self._acts_of
        if value is None:
            return True
        if name == JOBS:
            here = None
            if state.job is not None and state.path is not None:
                here = unkept(state.job, state.path.name)
            acts.choice.take_jobs(value, here)
            acts.read_on()
        elif name == HISTORY:
            acts.choice.take_history(value)
            acts.read_on()
        elif name == VERIFIED:
            self._tell_checked(*value)
        elif name == KEPT:
            self._desk.tell(value)
            acts.look()
        elif name == CERTIFICATE:
            path = acts.take_certificate(value)
            if path is not None:
                QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
            acts.look()
        elif name == _THUMBNAILS:
            self._thumbnails = value
        return True

    def _tell_checked(self, number: str, checked: Checked) -> None:
        wrong = len(checked.problems)
        if wrong:
            first = checked.problems[0].removeprefix(f"{number}: ")
            more = f", and {wrong - 1} more" if wrong > 1 else ""
            self._desk.tell(f"the record of {number} is not whole: {first}{more}", grave=True)
        else:
            self._desk.tell(f"the record of {number}: {checked.words}")

    # -- drawing -----------------------------------------------------------------------------------

    def _draw(self) -> None:
        choice = self._acts_of.choice
        self.search.setFont(font_of(round(20 * scale_of(self))))
        self.jobs.show_rows(choice.job_rows(), choice.place(), has_keys=not choice.reading)
        found, known = len(choice.found), len(choice.jobs)
        self.how_many.say(f"{found} of {known} jobs" if choice.query else f"{known} job{'' if known == 1 else 's'}")
        rows = choice.history_rows()
        self._lines = tuple(line for _, line in rows)
        line = choice.line
        chosen = self._lines.index(line) if line is not None else -1
        self.history.show_rows(tuple(row for row, _ in rows), chosen, has_keys=choice.reading)
        self.head.show_job(choice.job, self._checked(), self._problem())
        title, words = detail_of(line, choice.history) if line is not None else ("", "")
        self.detail_title.say(title)
        self.detail.say(words)
        self._draw_pictures(line)

    def _draw_pictures(self, line: Line | None) -> None:
        choice = self._acts_of.choice
        history = choice.history
        pictures = () if history is None or history.number != choice.number else history.pictures
        alone = [one for one in pictures if line is not None and line.kind == Kind.PHOTO and one.seq == line.last]
        wanted = tuple(alone or pictures[:_A_STRIP])
        asked = (choice.number, *wanted)
        if asked != self._asked:
            self._asked = asked
            side = _LARGE if alone else _SMALL
            self._desk.reckon(_THUMBNAILS, partial(read_thumbnails, attachments_folder(store_path()), wanted, side))
        shown = tuple(one for one in self._thumbnails if one.picture in wanted)
        self.pictures.show_pictures(shown, len(pictures))

    def _checked(self) -> Checked | None:
        """Of the job that is looked at, where it was verified."""
        found = self._seen.get(VERIFIED)
        if found is None or found.value is None:
            return None
        number, checked = found.value
        return checked if number == self._acts_of.choice.number else None

    def _problem(self) -> str:
        """Why the record can't be read."""
        found = [self._seen.get(name) for name in (JOBS, HISTORY, VERIFIED)]
        return next((one.problem for one in found if one is not None and one.problem), "")

    # -- the person --------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's name)
        """Esc leaves the search and forgets it."""
        if (
            watched is self.search
            and isinstance(event, QKeyEvent)
            and event.type() is QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Escape
        ):
            self.search.clear()
            self.setFocus()
            return True
        return super().eventFilter(watched, event)

    def _search(self) -> None:
        self._acts_of.choice.reading = False
        self.search.setFocus()
        self.search.selectAll()
        self._acts_of.show()

    def _pick_line(self, row: int) -> None:
        line = self._lines[row]
        if line is not None:
            self._acts_of.choice.go_to_line(line)
            self._acts_of.show()

    def _pictures(self) -> tuple[str, ...]:
        found = self._desk.state.reckoned.get(_PICTURES)
        return () if found is None or found.value is None else found.value
