"""A stage of the work at a terminal or by options: each answer kept at once, a correction beside what it corrects."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator

from bench.cli.asking import Asking, Kept
from bench.cli.exits import BadInput, ExitStatus, InstrumentTrouble
from bench.cli.wrapped import say
from bench.records.attachments import AttachmentRefused, attachments_folder, keep_file
from bench.records.entry import Kind
from bench.winding.stage import ANEW, BEGUN, JUDGED, Answer, Answered, Question, Remark, Weight, answered

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["StageDesk", "document", "status_of", "tell"]

_WITHDRAW = ("-", "wrong")


class StageDesk:
    """One stage of one job in the record; every method that keeps raises RecordProblem.

    kind: Kind.RESTACK or Kind.VARNISH;  job_file: kept before the first answer, since answers are judged by it;
    told: whom a photograph that was kept is told to.
    """

    def __init__(self, store: Store, number: str, job_file: Path, kind: Kind, told: Callable[[str], None]) -> None:
        self._store = store
        self._number = number
        self._job_file = job_file
        self._kind = kind
        self._told = told
        self.kept = 0

    # -- what is known -----------------------------------------------------------------------------

    def known(self) -> Answered:
        return answered((one.seq, one.body) for one in self._store.entries(self._number, self._kind))

    def photographs(self) -> list[str]:
        """Names of those of this stage since it was begun anew."""
        since = self.known().since
        entries = self._store.entries(self._number, Kind.PHOTO)
        return [str(one.body["name"]) for one in entries if one.seq > since and one.body.get("stage") == self._kind]

    def kept_words(self) -> str:
        """For who breaks off."""
        return "what was answered is kept" if self.kept else "nothing was answered this time"

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
        entry = self._store.append(self._number, Kind.PHOTO, {**attachment.as_body(), "stage": str(self._kind)})
        self.kept += 1
        self._told(f"{attachment.name}, {attachment.size} bytes: kept as entry {entry.seq}")

    def keep_judged(self, remarks: Iterable[Remark]) -> None:
        """What was said of the answers, where any came in."""
        if self.kept:
            by_weight: dict[Weight, list[str]] = {weight: [] for weight in Weight}
            for one in remarks:
                by_weight[one.weight].append(one.name)
            body = {"warnings": by_weight[Weight.WARNING], "not_answered": by_weight[Weight.MISSING]}
            self._store.append(self._number, self._kind, {"part": JUDGED, **body})

    def _keep_job_file(self) -> None:
        if not self.kept:
            text = self._job_file.read_text(encoding="utf-8")
            last = self._store.last(self._number, Kind.JOB_FILE)
            if last is None or last.body.get("text") != text:
                self._store.append(self._number, Kind.JOB_FILE, {"file": self._job_file.name, "text": text})

    def _append(self, body: dict[str, Any]) -> None:
        self._keep_job_file()
        self._store.append(self._number, self._kind, body)
        self.kept += 1

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


def tell(desk: StageDesk, questions: Sequence[Question], remarks: Sequence[Remark], next_words: str) -> None:
    """What stands, what is wrong with it, and what comes next."""
    known, photographs = desk.known(), desk.photographs()
    say()
    lines = [(one.words, known.answers[one.key].value) for one in questions
             if one.key in known.answers and one.only_if(known)]  # fmt: skip
    lines += [("photographs", ", ".join(photographs))] if photographs else []
    width = max((len(words) for words, _ in lines), default=0)
    say("Kept:" if lines else "Nothing is kept yet.")
    for words, value in lines:
        say(f"  {words:<{width}}  {value}")
    _show_remarks(remarks)
    if next_words:
        say(next_words)


def document(desk: StageDesk, number: str, stage: str, remarks: Sequence[Remark]) -> dict[str, Any]:
    """The same for a machine."""
    known = desk.known()
    return {
        "schema": 1,
        "job": number,
        "stage": stage,
        "answers": {key: {"value": one.value, "entry": one.entry} for key, one in known.answers.items()},
        "because": known.because,
        "photographs": desk.photographs(),
        "remarks": [one.as_json() for one in remarks],
    }


def _show_remarks(remarks: Sequence[Remark]) -> None:
    """Warnings first, each with what comes of it and what will show it; then what is not answered, then notes."""
    for one in remarks:
        if one.weight is Weight.WARNING:
            say(f"  !  {_sentence(one.words)} {one.consequence}".rstrip())
            if one.shown_by:
                say(f"     Shown by: {one.shown_by}.")
    missing = [one.words for one in remarks if one.weight is Weight.MISSING]
    if missing:
        told = [one.consequence for one in remarks if one.weight is Weight.MISSING and one.consequence]
        say(" ".join([f"  Not answered: {', '.join(missing)}.", *told]))
    for one in remarks:
        if one.weight is Weight.NOTE:
            say(f"  Note: {_sentence(one.words)} {one.consequence}".rstrip())


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def status_of(remarks: Iterable[Remark]) -> ExitStatus:
    """Undecided while a warning stands or something that is required is not answered."""
    open_ones = any(one.weight is not Weight.NOTE for one in remarks)
    return ExitStatus.UNDECIDED if open_ones else ExitStatus.DONE
