"""`turnproof restack`: how the core went together again, kept answer by answer and judged."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import BadInput, ExitStatus, InstrumentTrouble

if TYPE_CHECKING:
    from bench.cli.stage import StageDesk
    from bench.job.model import Job
    from bench.winding.restack import Due

__all__ = ["command"]


@click.command("restack")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--came-out", metavar="N", help="E's and I's that came out: 96, or 96 E 95 I.")
@click.option("--laminations-in", metavar="N", help="E's and I's put in.")
@click.option("--left-over", metavar="N", help="E's and I's left over.")
@click.option("--scrapped", metavar="N", help="Damaged ones scrapped.")
@click.option("--interleave", metavar="HOW", help="1x1, 2x2, 3x3, 4x4 or butt.")
@click.option("--gap", metavar="LENGTH", help="Spacer in a butt joint, such as 0.1mm.")
@click.option("--stack", metavar="LENGTH", help="Height of the stack, pressed, such as 45.5mm.")
@click.option("--bolts", metavar="HOW", help="insulated, bare or none.")
@click.option("--wedge", metavar="HOW", help="in, left out or none.")
@click.option("--band", metavar="WHERE", help="outside, inside, left off or none.")
@click.option("--band-tested", metavar="HOW", help="both, without, with or no.")
@click.option("--can", metavar="HOW", help="fitted, left off or none.")
@click.option("--can-tested", metavar="HOW", help="both, without, with or no.")
@click.option("--earth", metavar="HOW", help="joined, not joined or none.")
@click.option("--note", metavar="TEXT", help="Anything else.")
@click.option("--photo", "photos", multiple=True, type=click.Path(path_type=Path), help="A photograph; any number.")
@click.option("--anew", is_flag=True, help="It was taken apart and is stacked again.")
@click.option("--show", "only_show", is_flag=True, help="Ask nothing, only show what is kept.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout; nothing is asked.")
def command(
    job_file: Path, photos: tuple[Path, ...], anew: bool, only_show: bool, as_json: bool, **given: str | None
) -> int:
    """Keep how the core of JOB was stacked; asks, or takes options. - withdraws an answer.

    Ends with 2 while a warning stands or something needed is not answered.
    """
    from bench.cli.opening import open_job, open_store, take_job_lock
    from bench.cli.stage import StageDesk
    from bench.cli.wrapped import say
    from bench.job.profiles import load_table
    from bench.records.entry import Kind
    from bench.records.store import RecordProblem
    from bench.winding.restack import due_of

    job = open_job(job_file)
    due = due_of(job, load_table("limits", "small-mains"))
    by_options = bool(photos) or any(text is not None for text in given.values())
    if only_show and (by_options or anew):
        raise BadInput("--show: expected without an option that keeps something")
    try:
        with open_store() as store:
            told = (lambda line: None) if as_json else say
            desk = StageDesk(store, job.identity.number, job_file, Kind.RESTACK, told)
            if only_show or (as_json and not by_options and not anew):
                return _told(job, due, desk, as_json)
            with take_job_lock(job, "restack"):
                if by_options or as_json:
                    _keep(desk, given, photos, anew)
                else:
                    _ask(job, due, desk, anew)
                return _told(job, due, desk, as_json)
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None


def _keep(desk: StageDesk, given: dict[str, str | None], photos: tuple[Path, ...], anew: bool) -> None:
    from bench.winding.restack_words import QUESTIONS

    read = desk.read_options(QUESTIONS, given, anew)
    if anew:
        desk.begin_anew()
    desk.keep_all(read, photos)


def _ask(job: Job, due: Due, desk: StageDesk, anew: bool) -> None:
    from bench.acceptance.cautions import Cautions, Hazard
    from bench.cli.asking import Asking, Stopped
    from bench.cli.typed_lines import TypedLines
    from bench.cli.wrapped import say
    from bench.winding.restack import questions_for
    from bench.winding.restack_words import FIRST_WORDS

    say(f"Restack of {job.identity.number}{f', {job.identity.name}' if job.identity.name else ''}")
    for line in Cautions().of(Hazard.LAMINATIONS):
        say(f"  !  {line}")
    for line in FIRST_WORDS:
        say(line)
    say("Each answer is kept as soon as it is typed. Enter leaves one out, q ends, - withdraws what is kept.")
    say()
    asking = Asking(TypedLines(sys.stdin), say)
    if anew:
        desk.begin_anew()
    try:
        for question in questions_for(due):
            desk.ask(asking, question)
        desk.ask_photographs(asking)
    except Stopped as stopped:
        say(f"{stopped}; {desk.kept_words()}")
    except KeyboardInterrupt:
        click.echo(f"\n{desk.kept_words()}", err=True)
        raise


def _told(job: Job, due: Due, desk: StageDesk, as_json: bool) -> int:
    from bench.cli.stage import document, status_of, tell
    from bench.winding.restack import judged, restack_of
    from bench.winding.restack_words import QUESTIONS

    remarks = judged(restack_of(desk.known()), due, len(desk.photographs()))
    desk.keep_judged(remarks)
    status = status_of(remarks)
    if as_json:
        click.echo(json.dumps(document(desk, job.identity.number, "restack", remarks)))
    elif status is ExitStatus.DONE:
        tell(desk, QUESTIONS, remarks, "Next: turnproof test JOB --meter METER, while it can still be taken apart.")
    else:
        tell(desk, QUESTIONS, remarks, "turnproof restack JOB asks again; Enter leaves an answer as it is kept.")
    return status
