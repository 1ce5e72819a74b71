"""A kept test judged again from its readings: by the rules in its record, or by today's.  Nothing is written."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.acceptance.procedure import Finished
from bench.acceptance.recall import Recall
from bench.acceptance.requests import Enter, Skipped, StepDone, Stopped, Take, Trouble
from bench.design.expected import NotEnough
from bench.job.file import FileProblem, model_from
from bench.job.model import Job
from bench.job.profiles import in_place
from bench.sitting.grounds import Grounds, grounds_of
from bench.sitting.kept_tests import KeptTest, result_of
from bench.sitting.problems import BadInput
from bench.sitting.procedure_choice import read_before
from bench.sitting.winding_record import wound_in
from bench.whole_test import equipment_of, procedure_for

if TYPE_CHECKING:
    from bench.acceptance.procedure import Procedure
    from bench.acceptance.result import TestResult

__all__ = ["NOT_READ", "JudgedAgain", "judge_again"]

NOT_READ = "not read then"
_STOPPED = "stopped: "
_TROUBLE = ":trouble"


@dataclass(frozen=True)
class JudgedAgain:
    """then: as it was kept, None where the test came to no result;  now: by `grounds`;  notes: what could not be taken
    as it was, a line each."""

    test: KeptTest
    grounds: Grounds
    then: TestResult | None
    now: TestResult
    notes: tuple[str, ...]


def judge_again(test: KeptTest, *, as_then: bool = False, rules_file: Path | None = None) -> JudgedAgain:
    """Walk the procedure once more and answer from the record what was answered then.

    What today's procedure asks for and nobody read then is not done.  Raises BadInput for a record that does not tell
    enough.
    """
    job = test.entries[0].job
    if not any("place" in one.body for one in test.entries):
        why = "an earlier version kept its readings without what was asked"
        raise BadInput(f"{job}: test {test.number} can't be judged again: {why}")
    then = None if test.result is None else result_of(test.result.body)
    grounds = grounds_of(test, as_then=as_then, rules_file=rules_file)
    with in_place(grounds.tables):
        try:
            now = _walked(test, _procedure(test, grounds), then)
        except NotEnough as problem:
            raise BadInput(f"{job}: the job file as it was then: {problem}") from None
        except FileProblem as problem:
            raise BadInput("\n".join(problem.lines)) from None
        except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as problem:
            if not as_then:
                raise
            # Of another machine, or of a program that knew other limits: what it holds was never looked at here.
            raise BadInput(
                f"{job}: what the record holds to judge by can't be used by this program ({problem}): "
                "expected without --as-then"
            ) from problem
    return JudgedAgain(test, grounds, then, now, (*grounds.notes, *_about_tables(grounds)))


def _procedure(test: KeptTest, grounds: Grounds) -> Procedure:
    where = Path(f"{test.entries[0].job}, the job file as it was then")
    job = model_from(where, tomllib.loads(grounds.job_text), Job)
    before = test.as_it_was_begun
    instrument = grounds.instrument(None if job.supply is None else job.supply.frequency)
    return procedure_for(
        job,
        equipment_of(job, grounds.bench, instrument),
        dict(grounds.rules),
        grounds.past_a_gate,
        procedure=grounds.procedure,
        before=read_before(grounds.procedure, before),
        wound=wound_in(before, job),
    )


def _walked(test: KeptTest, procedure: Procedure, then: TestResult | None) -> TestResult:
    recall = Recall((one.kind, one.body) for one in test.entries)
    request = procedure.start()
    while not isinstance(request, Finished):
        request = procedure.feed(None if isinstance(request, StepDone) else _answer(request, procedure, recall, then))
    return request.result


def _answer(request: Any, procedure: Procedure, recall: Recall, then: TestResult | None) -> Any:
    kept = recall.answer(recall.place(procedure.phase, request), request)
    if kept is not None:
        procedure.context.sitting = kept.sitting
        return kept.value
    if isinstance(request, (Take, Enter)):
        return _ended_there(procedure.phase, recall, then) or Skipped(NOT_READ)
    return None


def _ended_there(phase: str, recall: Recall, then: TestResult | None) -> Exception | None:
    """What broke the test off where its answers end: it is told by the result, and was no answer."""
    if then is None or recall.answers:
        return None
    trouble = next((one.note for one in then.steps if one.id == f"{phase}{_TROUBLE}"), None)
    if trouble is not None:
        return Trouble(trouble)
    stopped = next((one.reason for one in then.not_done if one.reason.startswith(_STOPPED)), None)
    return None if stopped is None else Stopped(stopped.removeprefix(_STOPPED))


def _about_tables(grounds: Grounds) -> list[str]:
    notes = [
        f"{kind} {name} does not ship any more: taken as it was kept" for kind, name in sorted(grounds.tables.stood_in)
    ]
    if grounds.tables.texts or not grounds.notes:
        notes += [
            f"{kind} {name} is not in the record: taken as it is today"
            for kind, name in sorted(grounds.tables.not_kept)
        ]
    return notes
