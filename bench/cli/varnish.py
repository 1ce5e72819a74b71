"""`turnproof varnish`: how the unit was varnished and baked, kept answer by answer and judged."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import BadInput, ExitStatus, InstrumentTrouble

if TYPE_CHECKING:
    from bench.acceptance.cautions import Cautions
    from bench.cli.asking import Asking
    from bench.cli.stage import StageDesk
    from bench.job.model import Job
    from bench.records.store import Store
    from bench.winding.before_after import Compared
    from bench.winding.stage import Question

__all__ = ["command"]


@click.command("varnish")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--varnish", metavar="NAME", help="Its full name.")
@click.option("--batch", metavar="TEXT", help="Batch, or the date on the can.")
@click.option("--thinner", metavar="TEXT", help="Which and how much.")
@click.option("--method", metavar="HOW", help="dip, brush, pour or vacuum.")
@click.option("--mass-before", metavar="MASS", help="Before varnish, dry, such as 1250g.")
@click.option("--predry", metavar="HEAT", help="Dried before varnish, such as '80 C 3 h'.")
@click.option("--drain", metavar="TIME", help="Time to drain, such as 30min.")
@click.option("--bake", "bakes", multiple=True, metavar="HEAT",
              help="A step more, such as '90 C 6 h'; '2: 90 C 4 h' corrects step 2.")  # fmt: skip
@click.option("--mass-after", metavar="MASS", help="After the bake, cold.")
@click.option("--by", metavar="NAME", help="Who varnished it.")
@click.option("--note", metavar="TEXT", help="Anything else.")
@click.option("--photo", "photos", multiple=True, type=click.Path(path_type=Path), help="A photograph; any number.")
@click.option("--go-on-because", default="", metavar="REASON", help="Begin though not tested and accepted; recorded.")
@click.option("--anew", is_flag=True, help="It is varnished once more.")
@click.option("--show", "only_show", is_flag=True, help="Ask nothing, only show what is kept.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout; nothing is asked.")
def command(
    job_file: Path,
    bakes: tuple[str, ...],
    photos: tuple[Path, ...],
    go_on_because: str,
    anew: bool,
    only_show: bool,
    as_json: bool,
    **given: str | None,
) -> int:
    """Keep how JOB was varnished and baked; asks, or takes options. - withdraws an answer.

    Begins only after an accepted test, or with a reason. Ends with 2 while a warning stands or something needed is
    not answered.
    """
    from bench.cli.opening import open_job, open_store, take_job_lock
    from bench.cli.stage import StageDesk
    from bench.cli.wrapped import say
    from bench.records.entry import Kind
    from bench.records.store import RecordProblem

    job = open_job(job_file)
    by_options = bool(photos or bakes) or any(text is not None for text in given.values())
    if only_show and (by_options or anew):
        raise BadInput("--show: expected without an option that keeps something")
    reason = _reason(go_on_because)
    try:
        with open_store() as store:
            told = (lambda line: None) if as_json else say
            desk = StageDesk(store, job.identity.number, job_file, Kind.VARNISH, told)
            if only_show or (as_json and not by_options and not anew):
                return _told(job, store, desk, as_json)
            with take_job_lock(job, "varnish"):
                if by_options or as_json:
                    begun = _keep(job, store, desk, given, bakes, photos, reason, anew, as_json)
                else:
                    begun = _ask(job, store, desk, reason, anew)
                return _told(job, store, desk, as_json) if begun else ExitStatus.UNDECIDED
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None


def _reason(text: str) -> str:
    """A reason in words, empty for none; raises BadInput."""
    from bench.cli.asking import is_reason

    if text and not is_reason(text):
        raise BadInput(f"--go-on-because {text[:40]!r}: no reason, expected words")
    return text


def _against(store: Store, number: str, desk: StageDesk, anew: bool) -> str:
    """What stands against beginning; empty where nothing does, or where it was begun already."""
    from bench.winding.varnish import against_beginning

    if desk.known().begun is not None and not anew:
        return ""
    return against_beginning((one.kind, one.body) for one in store.entries(number))


# -- by options ------------------------------------------------------------------------------------


def _keep(
    job: Job,
    store: Store,
    desk: StageDesk,
    given: dict[str, str | None],
    bakes: tuple[str, ...],
    photos: tuple[Path, ...],
    reason: str,
    anew: bool,
    as_json: bool,
) -> bool:
    """Whether it could begin; raises BadInput."""
    from bench.acceptance.cautions import Cautions, Hazard
    from bench.cli.wrapped import say
    from bench.winding.varnish_words import QUESTIONS, bake_question

    steps = _steps(desk, bakes, anew)
    questions: list[Question] = [*QUESTIONS, *(bake_question(step) for step in steps)]
    read = desk.read_options(questions, {**given, **{bake_question(n).key: text for n, text in steps.items()}}, anew)
    against = _against(store, job.identity.number, desk, anew)
    if against and not reason:
        say(f"Not begun, nothing was kept: {against}. Varnish closes the unit: test it first (turnproof test), or "
            "say --go-on-because REASON.", err=True)  # fmt: skip
        return False
    if not as_json:
        for line in Cautions().of(Hazard.VARNISH, Hazard.OVEN):
            say(f"  !  {line}")
    if anew:
        desk.begin_anew()
    if against:
        desk.begin_although(against, reason)
    desk.keep_all(read, photos)
    return True


def _steps(desk: StageDesk, bakes: tuple[str, ...], anew: bool) -> dict[int, str]:
    """The step that each --bake is for: the one that it names, or the next; raises BadInput."""
    import re

    taken = 0 if anew else _last_step(desk)
    steps: dict[int, str] = {}
    for text in bakes:
        match = re.fullmatch(r"\s*(\d{1,3})\s*:\s*(.*)", text)
        if match is None:
            taken += 1
            steps[taken] = text
        elif not 1 <= int(match[1]) <= taken:
            raise BadInput(f"--bake {text[:40]!r}: expected the number of a step that is kept, 1 to {taken}, or none")
        else:
            steps[int(match[1])] = match[2]
    return steps


def _last_step(desk: StageDesk) -> int:
    from bench.winding.varnish import bake_steps

    return max(bake_steps(desk.known()), default=0)


# -- by questions ----------------------------------------------------------------------------------


def _ask(job: Job, store: Store, desk: StageDesk, reason: str, anew: bool) -> bool:
    """Whether it began."""
    from bench.acceptance.cautions import Cautions, Hazard
    from bench.cli.asking import Asking, Stopped
    from bench.cli.typed_lines import TypedLines
    from bench.cli.wrapped import say

    say(f"Varnish of {job.identity.number}{f', {job.identity.name}' if job.identity.name else ''}")
    cautions = Cautions()
    asking = Asking(TypedLines(sys.stdin), say)
    try:
        against = _against(store, job.identity.number, desk, anew)
        if against:
            say(f"  !  Not ready: {against}. Varnish closes the unit, and what is wrong inside stays in it.")
            reason = reason or asking.reason("why go on all the same (Enter to stop here, and test first)")
            if not reason:
                say("Not begun. Next: turnproof test JOB --meter METER.")
                return False
        if anew:
            desk.begin_anew()
        if against:
            desk.begin_although(against, reason)
        for line in cautions.of(Hazard.VARNISH, Hazard.OVEN):
            say(f"  !  {line}")
        say("Each answer is kept as soon as it is typed. Enter leaves one out, q ends, - withdraws what is kept.")
        say()
        _ask_all(desk, asking, cautions)
    except Stopped as stopped:
        begun = desk.known().begun is not None
        say(f"{stopped}; {desk.kept_words() if begun else 'not begun'}")
        return begun
    except KeyboardInterrupt:
        click.echo(f"\n{desk.kept_words()}", err=True)
        raise
    return True


def _ask_all(desk: StageDesk, asking: Asking, cautions: Cautions) -> None:
    from bench.acceptance.cautions import Hazard
    from bench.winding.varnish_words import AFTER_THE_BAKE, BEFORE_THE_BAKE, bake_question

    for question in BEFORE_THE_BAKE:
        desk.ask(asking, question)
    for line in cautions.of(Hazard.OVEN):
        asking.say(f"  !  {line}")
    step = 1
    while desk.ask(asking, bake_question(step)) or step < _last_step(desk):
        step += 1
    for question in AFTER_THE_BAKE:
        desk.ask(asking, question)
    desk.ask_photographs(asking)


# -- what stands -----------------------------------------------------------------------------------


def _told(job: Job, store: Store, desk: StageDesk, as_json: bool) -> int:
    from bench.acceptance.cautions import Cautions, Hazard
    from bench.cli.stage import document, status_of, tell
    from bench.winding.varnish import bake_steps, heat_limit, judged, varnish_of
    from bench.winding.varnish_words import AFTER_THE_BAKE, AFTERWARDS, BEFORE_THE_BAKE, bake_question

    known = desk.known()
    compared = _compared(job, store, desk)
    remarks = judged(varnish_of(known), heat_limit(job), len(desk.photographs()), compared or ())
    desk.keep_judged(remarks)
    status = status_of(remarks)
    if as_json:
        further = {
            "cautions": Cautions().of(Hazard.VARNISH, Hazard.OVEN),
            "test_again": [{"test": test, "compare": compare} for test, compare in AFTERWARDS],
            "compared": None if compared is None else [one.as_json() for one in compared],
        }
        click.echo(json.dumps({**document(desk, job.identity.number, "varnish", remarks), **further}))
        return status
    bakes = [bake_question(step) for step in bake_steps(known)]
    again_words = "turnproof varnish JOB asks again; Enter leaves an answer as it is kept."
    questions = (*BEFORE_THE_BAKE, *bakes, *AFTER_THE_BAKE)
    tell(desk, questions, remarks, "" if status is ExitStatus.DONE else again_words)
    _tell_afterwards(compared)
    return status


def _compared(job: Job, store: Store, desk: StageDesk) -> tuple[Compared, ...] | None:
    """Readings before varnish and after; None where one of the tests was not made."""
    from bench.winding.before_after import compare
    from bench.winding.varnish import tests_around

    entries = store.entries(job.identity.number)
    around = tests_around(desk.known(), [(one.seq, one.kind, one.body) for one in entries])
    return None if around is None else compare(*(one.get("steps") or () for one in around))


def _tell_afterwards(compared: tuple[Compared, ...] | None) -> None:
    """What to test again; once that is done, how it compares."""
    from bench.cli.wrapped import say
    from bench.winding.varnish_words import AFTERWARDS

    if compared is None:
        say("Test again once it is cold (turnproof test JOB --meter METER), and compare with before varnish:")
        for test, compare in AFTERWARDS:
            say(f"  {test}: {compare}")
        return
    say("The tests before varnish and after:" if compared else "The tests before and after have no reading in common.")
    for one in compared:
        say(f"  {one.words}{': ' + one.sign if one.sign else ''}")
