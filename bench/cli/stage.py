"""A stage of the work at a terminal or by options: each answer kept at once, a correction beside what it corrects."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator

from bench.cli.asking import Asking, Kept
from bench.records.attachments import AttachmentRefused, attachments_folder, keep_file
from bench.records.entry import Entry, Kind
from bench.sitting.problems import BadInput, InstrumentTrouble
from bench.winding.stage import ANEW, BEGUN, JUDGED, Answer, Answered, Question, Remark, Weight, answered

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["StageDesk"]

_WITHDRAW = ("-", "wrong")


class StageDesk:
    """One stage of one job in the record; every method that keeps raises RecordProblem.

    kind: Kind.RESTACK or Kind.VARNISH;  job_file: kept before the first answer, since answers are judged by it;
    told: whom a photograph that was kept is told to.
    """

    def __init__(self, store: Store, number: str, job_file: Path, kind: Kind, told: Callable[[str], None]) -> None:
        self.number = number
        self.kind = kind
        self._store = store
        self._job_file = job_file
        self._told = told
        self._kept = 0

    # -- what is known -----------------------------------------------------------------------------

    def known(self) -> Answered:
        return answered((one.seq, one.body) for one in self._store.entries(self.number, self.kind))

    def entries(self) -> list[Entry]:
        """Of the whole job, other stages and tests too."""
        return self._store.entries(self.number)

    def photographs(self) -> list[str]:
        """Names of those of this stage since it was begun anew."""
        since = self.known().since
        entries = self._store.entries(self.number, Kind.PHOTO)
        return [str(one.body["name"]) for one in entries if one.seq > since and one.body.get("stage") == self.kind]

    def kept_words(self) -> str:
        """For who breaks off."""
        return "what was answered is kept" if self._kept else "nothing was answered this time"

    # -- keeping -----------------------------------------------------------------------------------

    def begin_anew(self) -> None:
        if self.known().begun is not None:
            self._append({"part": ANEW})

    def begin_although(self, standing: str, because: str) -> None:
        self._append({"part": BEGUN, "standing": standing, "because": because})

    def keep(self, key: str, value: str) -> None:
        """As the answer from now on; what stood before stays in the record, and is named."""
        before = self.known().answers.get(key)
        if before is not None and before.value == value:
            return
        self._append({"part": key, "value": value, **({} if before is None else {"instead_of": before.entry})})

    def withdraw(self, key: str) -> None:
        before = self.known().answers.get(key)
        if before is not None:
            self._append({"part": key, "withdrawn": before.value, "instead_of": before.entry})

    def keep_photograph(self, path: Path) -> None:
        """Raises AttachmentRefused, or InstrumentTrouble where the copy can't be written."""
        folder = attachments_folder(self._store.path)
        try:
            attachment = keep_file(folder, path)
        except OSError as problem:
            raise InstrumentTrouble(f"{folder}: not kept: {problem.strerror}") from None
        self._keep_job_file()
        entry = self._store.append(self.number, Kind.PHOTO, {**attachment.as_body(), "stage": str(self.kind)})
        self._kept += 1
        self._told(f"{attachment.name}, {attachment.size} bytes: kept as entry {entry.seq}")

    def keep_judged(self, remarks: Iterable[Remark]) -> None:
        """What was said of the answers, where any came in."""
        if self._kept:
            by_weight: dict[Weight, list[str]] = {weight: [] for weight in Weight}
            for one in remarks:
                by_weight[one.weight].append(one.name)
            body = {"warnings": by_weight[Weight.WARNING], "not_answered": by_weight[Weight.MISSING]}
            self._store.append(self.number, self.kind, {"part": JUDGED, **body})

    def _keep_job_file(self) -> None:
        if not self._kept:
            text = self._job_file.read_text(encoding="utf-8")
            last = self._store.last(self.number, Kind.JOB_FILE)
            if last is None or last.body.get("text") != text:
                self._store.append(self.number, Kind.JOB_FILE, {"file": self._job_file.name, "text": text})

    def _append(self, body: dict[str, Any]) -> None:
        self._keep_job_file()
        self._store.append(self.number, self.kind, body)
        self._kept += 1

    # -- by options --------------------------------------------------------------------------------

    def read_options(
        self, questions: Sequence[Question], given: Mapping[str, str | None], anew: bool
    ) -> dict[str, str | None]:
        """What was given, as it is to be kept, None for what is withdrawn; raises BadInput with a line for each that
        is none, and nothing is kept then.  anew: whether what is kept already counts no more."""
        known = Answered() if anew else self.known()
        read: dict[str, str | None] = {}
        problems = []
        for question in questions:
            text = given.get(question.key)
            if text is None:
                continue
            try:
                read[question.key] = None if text.strip().lower() in _WITHDRAW else question.read(text)
            except ValueError as problem:
                problems.append(f"{question.option} {problem}")
        then = Answered({**known.answers, **_as_answers(read)})
        for question in questions:
            if read.get(question.key) is not None and not question.only_if(then):
                problems.append(f"{question.option}: expected only {question.only_words}")
        if problems:
            raise BadInput("\n".join(f"{problem}; nothing was kept" for problem in problems))
        return read

    def keep_all(self, read: Mapping[str, str | None], photos: Sequence[Path]) -> None:
        """What `read_options` gave, then the photographs; raises BadInput for one that can't be kept."""
        for key, value in read.items():
            if value is None:
                self.withdraw(key)
            else:
                self.keep(key, value)
        for photo in photos:
            try:
                self.keep_photograph(photo)
            except AttachmentRefused as problem:
                raise BadInput(f"--photo {problem}; the answers that were given are kept") from None

    # -- by questions ------------------------------------------------------------------------------

    def ask(self, asking: Asking, question: Question) -> bool:
        """Ask one thing; whether something stands as its answer afterwards. Raises Stopped."""
        if not question.only_if(self.known()):
            return False
        field = Annotated[str, AfterValidator(question.read)]
        while True:
            text = asking.value(question.prompt, field, bare=question.bare, kept=lambda: self._standing(question.key))
            if text is None:
                return question.key in self.known().answers
            value = question.read(text)
            why = question.doubt(value)
            if not why or asking.sure(why, value):
                break
        self.keep(question.key, value)
        return True

    def ask_photographs(self, asking: Asking) -> None:
        """As many as there are; raises Stopped."""
        while text := asking.text(f"photograph: path of a file{self._photographs_words()} (Enter for no more)"):
            try:
                self.keep_photograph(Path(text.strip("'\"")).expanduser())
            except AttachmentRefused as problem:
                asking.say(f"  {problem}")

    def _photographs_words(self) -> str:
        kept = len(self.photographs())
        return f", {kept} kept" if kept else ""

    def _standing(self, key: str) -> Kept | None:
        answer = self.known().answers.get(key)
        return None if answer is None else Kept(answer.value, lambda: self.withdraw(key))


def _as_answers(read: Mapping[str, str | None]) -> dict[str, Answer]:
    return {key: Answer(value, 0) for key, value in read.items() if value is not None}
