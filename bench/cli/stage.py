"""A stage of the work at a terminal or by options: answers read, asked for and told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

from pydantic import AfterValidator

from bench.cli.asking import Asking, Kept
from bench.records.attachments import AttachmentRefused
from bench.sitting.problems import BadInput
from bench.sitting.stage_record import StageRecord
from bench.winding.stage import Answer, Answered, Question

__all__ = ["StageDesk"]

_WITHDRAW = ("-", "wrong")


class StageDesk(StageRecord):
    """One stage of one job, and the person who answers; every method that keeps raises RecordProblem."""

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

    def keep_all(self, read: Mapping[str, str | None], photos: Sequence[Path], said: Mapping[str, Any]) -> None:
        """What `read_options` gave, then the photographs; said: of them.  Raises BadInput for one that can't be
        kept."""
        for key, value in read.items():
            if value is None:
                self.withdraw(key)
            else:
                self.keep(key, value)
        for photo in photos:
            try:
                self.keep_photograph(photo, said)
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
