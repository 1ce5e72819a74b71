"""What is to be told of a stage as it is kept now: restack and varnish, at a terminal and in the window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from bench.winding.stage import Question, Remark

if TYPE_CHECKING:
    from bench.acceptance.before_after import Compared
    from bench.job.model import Job
    from bench.sitting.stage_record import StageRecord

__all__ = ["Account", "compared_by_varnish", "restack_account", "stands_against_varnish", "varnish_account"]


@dataclass(frozen=True)
class Account:
    """What is to be told of a stage.

    questions: in the order in which their answers are shown;  next_words: what comes next once nothing is open;
    afterwards: lines that follow in any case;  further: what the JSON says beside what it says of every stage.
    """

    remarks: tuple[Remark, ...]
    questions: Sequence[Question]
    next_words: str = ""
    afterwards: tuple[str, ...] = ()
    further: Mapping[str, Any] = field(default_factory=dict)


def restack_account(record: StageRecord, job: Job) -> Account:
    """Of the core stacked again, with its questions as they are asked."""
    from bench.job.profiles import load_table
    from bench.winding.restack import due_of, judged, questions_for, restack_of

    due = due_of(job, load_table("limits", "small-mains"))
    remarks = judged(restack_of(record.known()), due, len(record.photographs()))
    next_words = "Next: turnproof test JOB --meter METER, while it can still be taken apart."
    return Account(remarks, questions_for(due), next_words)


def varnish_account(record: StageRecord, job: Job) -> Account:
    """Of varnish and bake, with a question for each step of the bake that is kept."""
    from bench.acceptance.cautions import Cautions, Hazard
    from bench.winding.varnish import bake_steps, heat_limit, judged, varnish_of
    from bench.winding.varnish_words import AFTER_THE_BAKE, AFTERWARDS, BEFORE_THE_BAKE, bake_question

    known = record.known()
    compared = compared_by_varnish(record)
    bakes = [bake_question(step) for step in bake_steps(known)]
    return Account(
        judged(varnish_of(known), heat_limit(job), len(record.photographs()), compared or ()),
        (*BEFORE_THE_BAKE, *bakes, *AFTER_THE_BAKE),
        afterwards=_afterwards(compared),
        further={
            # in full, whatever was told before
            "cautions": Cautions().of(Hazard.VARNISH, Hazard.OVEN),
            "test_again": [{"test": test, "compare": compare} for test, compare in AFTERWARDS],
            "compared": None if compared is None else [one.as_json() for one in compared],
        },
    )


def stands_against_varnish(record: StageRecord, *, anew: bool = False) -> str:
    """What stands against beginning it; empty where nothing does, or where it was begun already."""
    from bench.winding.varnish import against_beginning

    if record.known().begun is not None and not anew:
        return ""
    return against_beginning((one.kind, one.body) for one in record.entries())


def compared_by_varnish(record: StageRecord) -> tuple[Compared, ...] | None:
    """Readings before varnish and after; None where one of the tests was not made."""
    from bench.acceptance.before_after import compare
    from bench.winding.varnish import tests_around

    around = tests_around(record.known(), [(one.seq, one.kind, one.body) for one in record.entries()])
    return None if around is None else compare(*(one.get("steps") or () for one in around))


def _afterwards(compared: tuple[Compared, ...] | None) -> tuple[str, ...]:
    """What to test again; once that is done, how it compares."""
    from bench.winding.varnish_words import AFTERWARDS

    if compared is None:
        first = "Test again once it is cold (turnproof test JOB --meter METER), and compare with before varnish:"
        return (first, *(f"  {test}: {compare}" for test, compare in AFTERWARDS))
    if not compared:
        return ("The tests before and after have no reading in common.",)
    first = "The tests before varnish and after:"
    return (first, *(f"  {one.words}{': ' + one.sign if one.sign else ''}" for one in compared))
