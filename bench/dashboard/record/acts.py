"""What can be done at the record: find, read, open, certificate, note, picture, verify."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.dashboard.album.album_acts import ALBUM_WORDS
from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.over_question import over_question
from bench.dashboard.parts.paths import path_typed
from bench.dashboard.record.choice import RecordChoice
from bench.dashboard.work.paper_written import WrittenPaper, reason_question, written_paper
from bench.dashboard.work.to_keep import ToKeep
from bench.records.kept_profiles import keep_job_file
from bench.sitting.opening import open_job, open_store
from bench.sitting.problems import BadInput
from bench.sitting.shared_records import bring_up_to_date

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["CERTIFICATE", "HISTORY", "JOBS", "KEPT", "VERIFIED", "RecordActs"]

JOBS, HISTORY, VERIFIED, KEPT, CERTIFICATE = "jobs", "history", "verified", "kept for a job", "certificate"
"""Names under which it is reckoned."""
_A_SCREEN = 60
_MORE = 200


class RecordActs:
    """Between the face and the desk.  changed: told when something else is looked at;  search: goes to its line;
    pictures: offered as paths;  a_page: lines that are seen at once;  album: opens that of a job."""

    def __init__(
        self,
        desk: Desk,
        face: Face,
        changed: Callable[[], None],
        search: Callable[[], None],
        pictures: Callable[[], tuple[str, ...]],
        a_page: Callable[[], int],
        album: Callable[[str], None],
    ) -> None:
        self._desk, self._face, self._changed = desk, face, changed
        self._search, self._pictures, self._a_page, self._album = search, pictures, a_page, album
        self.choice = RecordChoice()
        self._asked: tuple[str, int] = ("", 0)
        self._amend: Callable[..., None] = self._keep_certificate

    # -- the record --------------------------------------------------------------------------------

    def look(self) -> None:
        """All jobs, and the history of the one that is looked at, as they are now."""
        from bench.sitting.jobs_known import jobs_known

        self._desk.reckon(JOBS, lambda: _in_store(jobs_known))
        self._asked = ("", 0)
        self.read_on()

    def read_on(self) -> None:
        """The history that is looked at, where it is not read yet, and older lines of it when they are near."""
        from bench.sitting.history import read_history

        choice = self.choice
        least = _A_SCREEN
        if choice.lines and choice.wants_more(_A_SCREEN):
            least = len(choice.lines) + _MORE
        least = max(least, len(choice.lines))
        asked = (choice.number, least)
        if not choice.number or asked == self._asked:
            return
        self._asked = asked
        self._desk.reckon(HISTORY, lambda: _in_store(lambda store: read_history(store, *asked)))

    # -- what can be done --------------------------------------------------------------------------

    def offer(self) -> None:
        self._face.offer(self._acts())

    def _acts(self) -> tuple[Act, ...]:
        choice = self.choice
        move = (Act("Down", "older" if choice.reading else "next", partial(self._move, 1)),
                Act("Up", "newer" if choice.reading else "before", partial(self._move, -1)))  # fmt: skip
        search = Act("/", "search", self._search, large=True)
        if choice.job is None:
            return (search, *(move if choice.found else ()))
        if choice.reading:
            page = self._a_page
            pages = (Act("PgDown", "a page on", lambda: self._move(page())),
                     Act("PgUp", "a page back", lambda: self._move(-page())))  # fmt: skip
            return (
                Act("Escape", "back to the jobs", self._leave, strong=True, large=True),
                *move,
                *pages,
                *self._of_job(),
                search,
            )
        read = Act("Return", "read its history", self._read, strong=True, large=True)
        return (read, *move, search, *self._open(), *self._of_job())

    def _of_job(self) -> tuple[Act, ...]:
        job = self.choice.job
        assert job is not None
        note = Question((f"note for {job.number}",), partial(self._note, job.number))
        picture = Question((f"picture for {job.number}, path",), partial(self._picture, job.number), self._pictures())
        acts = [
            Act("G", ALBUM_WORDS, partial(self._album, job.number)),
            Act("N", "note", note),
            Act("P", "picture", picture),
            Act("V", "verify", self._verify),
        ]
        if job.verdict:
            where = Question((f"write to (Enter: {_certificate_of(job.number).name})",), self._certificate)
            acts.append(Act("C", "certificate", where))
        return tuple(acts)

    def _open(self) -> tuple[Act, ...]:
        job, state = self.choice.job, self._desk.state
        if job is None or (state.job is not None and state.job.identity.number == job.number):
            return ()
        return (Act("O", f"open {job.number}", self._open_job),)

    # -- moving ------------------------------------------------------------------------------------

    def pick_job(self, place: int) -> None:
        self.choice.choose(place)
        self.show()

    def seek(self, query: str) -> None:
        self.choice.seek(query)
        self.show()

    def show(self) -> None:
        """What is looked at is another."""
        self.read_on()
        self._changed()
        self.offer()

    def _move(self, by: int) -> None:
        self.choice.move(by)
        self.show()

    def _read(self) -> None:
        self.choice.reading = True
        self._face.setFocus()
        self.show()

    def _leave(self) -> None:
        self.choice.reading = False
        self.show()

    # -- doing it ----------------------------------------------------------------------------------

    def _open_job(self) -> None:
        """Beside the job that is open, and where the program was started: the record keeps the name alone."""
        job, path = self.choice.job, self._desk.state.path
        if job is None:
            return
        folders = [Path.cwd()] if path is None else [path.parent, Path.cwd()]
        problem = "the record keeps no name of its job file"
        for folder in folders if job.file else []:
            problem = self._open_at(folder / job.file)
            if not problem:
                return
        where = f"{job.file or 'its job file'} is not in {' or '.join(str(one) for one in folders)}"
        self._desk.tell(f"{where}: type where it lies now" if "no such file" in problem else problem, grave=True)
        self._face.put(Question((f"path of the job file of {job.number}",), self._open_typed))

    def _open_typed(self, answers: tuple[str, ...]) -> str:
        path = path_typed(answers[0])
        return "expected the path of a job file" if path is None else self._open_at(path)

    def _open_at(self, path: Path) -> str:
        """What is wrong with it; empty where it is open now."""
        job = self.choice.job
        if self._desk.busy:
            return f"{self._desk.state.doing or 'a work'} is at the bench: end it first"
        if not path.is_file():
            return f"{path}: no such file"
        try:
            number = open_job(path).identity.number
            if job is not None and number != job.number:
                return f"{path} is job {number}, expected {job.number}"
            self._desk.open_job(path)
        except BadInput as problem:
            return str(problem).splitlines()[0]
        self._desk.tell(f"{number} is open: {path}")
        self.show()
        return ""

    def _certificate(self, answers: tuple[str, ...]) -> str:
        number = self.choice.number
        path = path_typed(answers[0]) or _certificate_of(number)
        if os.path.isdir(path):
            path = path / _certificate_of(number).name
        if os.path.exists(path):
            self._face.put(over_question(path, partial(self._keep_certificate, number, path, over=True)))
        else:
            self._keep_certificate(number, path, over=False)
        return ""

    def _keep_certificate(self, number: str, path: Path, *, over: bool, because: str = "") -> None:
        state = self._desk.state
        job_file = state.path if state.job is not None and state.job.identity.number == number else None

        def write(store: Store) -> WrittenPaper:
            if job_file is not None:
                bring_up_to_date(store, number)
                keep_job_file(store, number, job_file)
            return written_paper(store, number, path, over=over, because=because)

        self._amend = partial(self._keep_certificate, number, path, over=over)
        self._desk.keep(CERTIFICATE, ToKeep(f"certificate of {number}, {path.name}", partial(_in_store, write)))

    def take_certificate(self, written: WrittenPaper) -> Path | None:
        """Where it is; None where the person is asked for a reason first."""
        self._desk.tell(written.words)
        if written.path is None:
            self._face.put(reason_question(written, lambda because: self._amend(because=because)))
        return written.path

    def _note(self, number: str, answers: tuple[str, ...]) -> str:
        from bench.sitting.attaching import keep_note, note_of

        try:
            text = note_of(answers[0])
        except BadInput as problem:
            return str(problem)
        keep = partial(_in_store, lambda store: _told("note", keep_note(store, number, text).seq))
        self._desk.keep(KEPT, ToKeep(f"note for {number}: {text}", keep))
        return ""

    def _picture(self, number: str, answers: tuple[str, ...]) -> str:
        from bench.sitting.attaching import keep_picture

        path = path_typed(answers[0])
        if path is None:
            return "expected the path of a picture"
        keep = partial(_in_store, lambda store: _told(path.name, keep_picture(store, number, path).seq))
        self._desk.keep(KEPT, ToKeep(f"picture for {number}: {path}", keep))
        return ""

    def _verify(self) -> None:
        from bench.sitting.record_checked import checked

        number = self.choice.number
        self._desk.tell(f"verifying the record of {number}")
        self._desk.reckon(VERIFIED, lambda: _in_store(lambda store: (number, checked(store, number))))


def _in_store(what: Callable[[Store], Any]) -> Any:
    with open_store() as store:
        return what(store)


def _told(what: str, seq: int) -> str:
    return f"{what}: kept as entry {seq}"


def _certificate_of(number: str) -> Path:
    """Where it is written to, where nobody says."""
    return Path.cwd() / f"{number} certificate.pdf"
