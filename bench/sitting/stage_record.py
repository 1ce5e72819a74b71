"""A stage of the work in the record: each answer kept at once, a correction beside what it corrects."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.records.entry import Entry, Kind
from bench.records.kept_profiles import keep_job_file, keep_tables
from bench.sitting.attaching import keep_picture
from bench.winding.stage import ANEW, BEGUN, JUDGED, Answered, Question, Remark, Weight, answered

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["StageRecord", "read_typed"]

_JUDGED_BY = (("limits", "small-mains"), ("limits", "insulation-classes"))
_BARE = re.compile(r"\d+(?:[.,]\d*)?|[.,]\d+")


class StageRecord:
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
        """Of the whole job, other stages and tests too; of counts the first and the last of each run."""
        return self._store.landmarks(self.number)

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

    def keep_photograph(self, path: Path, said: Mapping[str, Any] | None = None) -> None:
        """said: `caption`, `on_certificate`.  Raises AttachmentRefused; InstrumentTrouble where it can't be written."""
        self._keep_job_file()
        entry = keep_picture(self._store, self.number, path, {"stage": str(self.kind), **(said or {})})
        self._kept += 1
        self._told(f"{path.name}, {entry.body['bytes']} bytes: kept as entry {entry.seq}")

    def keep_judged(self, remarks: Iterable[Remark]) -> None:
        """What was said of the answers, where any came in."""
        if self._kept:
            self.judge(remarks)

    def judge(self, remarks: Iterable[Remark]) -> None:
        """Keep what was said of the answers."""
        by_weight: dict[Weight, list[str]] = {weight: [] for weight in Weight}
        for one in remarks:
            by_weight[one.weight].append(one.name)
        body = {"warnings": by_weight[Weight.WARNING], "not_answered": by_weight[Weight.MISSING]}
        self._store.append(self.number, self.kind, {"part": JUDGED, **body})

    def _keep_job_file(self) -> None:
        if not self._kept:
            keep_job_file(self._store, self.number, self._job_file)
            keep_tables(self._store, self.number, _JUDGED_BY)

    def _append(self, body: dict[str, Any]) -> None:
        self._keep_job_file()
        self._store.append(self.number, self.kind, body)
        self._kept += 1

    def owes_judgement(self) -> bool:
        """Whether something was answered, by whichever window or terminal, of which nothing was said yet."""
        last = self._store.last(self.number, self.kind)
        return last is not None and last.body.get("part") not in (JUDGED, ANEW)


def read_typed(question: Question, text: str) -> str:
    """What was typed as it is kept; a number alone is taken in the question's unit.  Raises ValueError in one line."""
    plain = text.strip()
    if question.bare and _BARE.fullmatch(plain):
        plain = f"{plain.replace(',', '.')} {question.bare}"
    return question.read(plain)
