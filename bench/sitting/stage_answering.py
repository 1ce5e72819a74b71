"""Restack and varnish answered one thing at a time: each answer by itself under the job's lock, then how they stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bench.records.entry import Kind
from bench.sitting.opening import open_store, take_job_lock
from bench.sitting.stage_account import Account, restack_account, stands_against_varnish, varnish_account
from bench.sitting.stage_record import StageRecord
from bench.winding.stage import Answered, Question, Weight

if TYPE_CHECKING:
    from bench.job.model import Job
    from bench.records.store import Store

__all__ = ["StageAnswering", "StageStands", "StagesStand", "varnish_questions"]


@dataclass(frozen=True)
class StageStands:
    """One stage as it is kept.

    account: what is to be told of it;  questions: all that can be asked now, with the next step of a bake;  against:
    what stands against beginning it, empty where nothing does;  expected: by question, what the job lets expect.
    """

    kind: Kind
    known: Answered
    account: Account
    questions: tuple[Question, ...]
    photographs: tuple[str, ...]
    against: str
    expected: dict[str, str]
    owes_judgement: bool

    @property
    def begun(self) -> bool:
        return self.known.begun is not None

    @property
    def in_order(self) -> bool:
        """Begun, and neither a warning nor anything open."""
        return self.begun and all(one.weight is Weight.NOTE for one in self.account.remarks)

    @property
    def warned(self) -> bool:
        return self.begun and any(one.weight is Weight.WARNING for one in self.account.remarks)


@dataclass(frozen=True)
class StagesStand:
    """Both stages of one job; due: the one that is on."""

    number: str
    restack: StageStands
    varnish: StageStands
    due: Kind

    def of(self, kind: Kind) -> StageStands:
        return self.varnish if kind is Kind.VARNISH else self.restack


class StageAnswering:
    """Of one job, for a window: every method opens the record for itself, and gives how both stages stand afterwards.

    All raise RecordProblem, and InstrumentTrouble where another program holds the job.
    """

    def __init__(self, job: Job, job_file: Path) -> None:
        self._job, self._job_file = job, job_file

    def look(self) -> StagesStand:
        """How they stand; holds nothing."""
        with open_store() as store:
            return self._stand(store)

    def answer(self, kind: Kind, key: str, value: str | None) -> StagesStand:
        """Keep an answer, None withdraws it."""
        if value is None:
            return self._kept(kind, lambda record: record.withdraw(key))
        return self._kept(kind, lambda record: record.keep(key, value))

    def photograph(self, kind: Kind, path: Path) -> StagesStand:
        """Raises AttachmentRefused, or InstrumentTrouble where it can't be written."""
        return self._kept(kind, lambda record: record.keep_photograph(path))

    def begin_anew(self, kind: Kind) -> StagesStand:
        """Taken apart and stacked again, or varnished once more."""
        return self._kept(kind, lambda record: record.begin_anew())

    def begin_although(self, because: str) -> StagesStand:
        """Varnish, though something stands against it."""

        def begin(record: StageRecord) -> None:
            against = stands_against_varnish(record)
            if against:
                record.begin_although(against, because)

        return self._kept(Kind.VARNISH, begin)

    def judge(self, kind: Kind) -> StagesStand:
        """Keep what was said of answers of which nothing was said yet."""

        def judged(record: StageRecord) -> None:
            if record.owes_judgement():
                record.judge(self._account(record).remarks)

        return self._kept(kind, judged)

    def _kept(self, kind: Kind, keep: Callable[[StageRecord], None]) -> StagesStand:
        with open_store() as store, take_job_lock(self._job, str(kind)):
            keep(self._record(store, kind))
            return self._stand(store)

    def _record(self, store: Store, kind: Kind) -> StageRecord:
        return StageRecord(store, self._job.identity.number, self._job_file, kind, lambda line: None)

    def _account(self, record: StageRecord) -> Account:
        account = restack_account if record.kind is Kind.RESTACK else varnish_account
        return account(record, self._job)

    def _stand(self, store: Store) -> StagesStand:
        restack = self._stage(self._record(store, Kind.RESTACK))
        record = self._record(store, Kind.VARNISH)
        varnish = self._stage(record)
        return StagesStand(self._job.identity.number, restack, varnish, _due(restack, varnish))

    def _stage(self, record: StageRecord) -> StageStands:
        known, account = record.known(), self._account(record)
        restack = record.kind is Kind.RESTACK
        return StageStands(
            record.kind,
            known,
            account,
            tuple(account.questions) if restack else varnish_questions(known),
            tuple(record.photographs()),
            "" if restack else stands_against_varnish(record),
            self._expected(record.kind, known),
            record.owes_judgement(),
        )

    def _expected(self, kind: Kind, known: Answered) -> dict[str, str]:
        from bench.job.profiles import load_table
        from bench.winding.restack import due_of, restack_of
        from bench.winding.stage_expected import expected_of_restack, expected_of_varnish
        from bench.winding.varnish import heat_limit, varnish_of

        if kind is Kind.VARNISH:
            return expected_of_varnish(heat_limit(self._job), varnish_of(known))
        return expected_of_restack(due_of(self._job, load_table("limits", "small-mains")), restack_of(known))


def varnish_questions(known: Answered) -> tuple[Question, ...]:
    """All that can be asked about varnish, one step of the bake more than are kept."""
    from bench.winding.varnish import bake_steps
    from bench.winding.varnish_words import AFTER_THE_BAKE, BEFORE_THE_BAKE, bake_question

    steps = bake_steps(known)
    bakes = [bake_question(step) for step in (*steps, max(steps, default=0) + 1)]
    return (*BEFORE_THE_BAKE, *bakes, *AFTER_THE_BAKE)


def _due(restack: StageStands, varnish: StageStands) -> Kind:
    """Varnish once it was begun on this stack, or the unit that was stacked and tested is ready for it."""
    if varnish.known.begun is not None:
        return Kind.VARNISH if varnish.known.begun > restack.known.since else Kind.RESTACK
    return Kind.VARNISH if not varnish.against else Kind.RESTACK
