"""The frame that commands of a stage share: options, record and lock, then keeping or asking, then telling."""

from __future__ import annotations

import functools
import json
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.cli.asking import Asking
    from bench.cli.stage import StageDesk
    from bench.job.model import Job
    from bench.records.entry import Kind
    from bench.sitting.stage_account import Account

__all__ = ["Stage", "StageCall", "note_and_photos", "run_stage", "stage_options"]


@dataclass(frozen=True)
class StageCall:
    """What any stage's command is given beside the answers."""

    job_file: Path
    photos: tuple[Path, ...]
    anew: bool
    only_show: bool
    as_json: bool
    on_certificate: bool = False

    @property
    def of_photos(self) -> dict[str, Any]:
        """What is said of the photographs."""
        return {"on_certificate": True} if self.on_certificate else {}


class Stage(Protocol):
    """What one stage has of its own."""

    def keep(self, desk: StageDesk) -> bool:
        """Keep what was given by options; whether the stage could begin.  Raises BadInput."""
        ...

    def begin(self, desk: StageDesk, asking: Asking) -> bool:
        """Say what comes before the questions; whether it begins.  Raises Stopped."""
        ...

    def ask(self, desk: StageDesk, asking: Asking) -> None:
        """All its questions but the photographs.  Raises Stopped."""
        ...

    def begun(self, desk: StageDesk) -> bool:
        """Whether there is anything to tell of, should the person stop here."""
        ...

    def account(self, desk: StageDesk) -> Account:
        """What is to be told of it as it is kept now."""
        ...


def note_and_photos(command: Callable[..., int]) -> Callable[..., int]:
    """The options for what no question asks."""
    photo = click.option(
        "--photo", "photos", multiple=True, type=click.Path(path_type=Path), help="A photograph; any number."
    )
    return click.option("--note", metavar="TEXT", help="Anything else.")(photo(command))


def stage_options(anew: str) -> Callable[[Callable[..., int]], Callable[..., int]]:
    """JOB and the options that follow the stage's own; the command gets them, and its photographs, as one StageCall.

    anew: help of --anew.
    """

    def with_options(command: Callable[..., int]) -> Callable[..., int]:
        @click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
        @click.option("--on-certificate", is_flag=True, help="The photographs are to stand on the certificate.")
        @click.option("--anew", is_flag=True, help=anew)
        @click.option("--show", "only_show", is_flag=True, help="Ask nothing, only show what is kept.")
        @click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout; nothing is asked.")
        @functools.wraps(command)
        def called(
            job_file: Path,
            photos: tuple[Path, ...],
            anew: bool,
            only_show: bool,
            as_json: bool,
            on_certificate: bool,
            **own: object,
        ) -> int:
            if on_certificate and not photos:
                raise BadInput("--on-certificate: expected only with --photo")
            return command(StageCall(job_file, photos, anew, only_show, as_json, on_certificate), **own)

        return called

    return with_options


def run_stage(call: StageCall, kind: Kind, stage_of: Callable[[Job], Stage], given: Iterable[str | None]) -> int:
    """Show, keep or ask, and tell;  stage_of may raise BadInput;  given: answers by options, None for those without."""
    from bench.cli.stage import StageDesk
    from bench.cli.wrapped import say
    from bench.records.problem import RecordProblem
    from bench.sitting.opening import open_job, open_store, take_job_lock

    job = open_job(call.job_file)
    by_options = bool(call.photos) or any(text is not None for text in given)
    if call.only_show and (by_options or call.anew):
        raise BadInput("--show: expected without an option that keeps something")
    stage = stage_of(job)
    try:
        with open_store() as store:
            told = (lambda line: None) if call.as_json else say
            desk = StageDesk(store, job.identity.number, call.job_file, kind, told)
            if call.only_show or (call.as_json and not by_options and not call.anew):
                return _told(stage, desk, call)
            with take_job_lock(job, str(kind)):
                begun = stage.keep(desk) if by_options or call.as_json else _asked(stage, desk, job)
                return _told(stage, desk, call) if begun else ExitStatus.UNDECIDED
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None


def _asked(stage: Stage, desk: StageDesk, job: Job) -> bool:
    """Whether it was begun."""
    from bench.cli.asking import Asking, Stopped
    from bench.cli.typed_lines import TypedLines
    from bench.cli.wrapped import say

    say(f"{desk.kind.capitalize()} of {job.identity.number}{f', {job.identity.name}' if job.identity.name else ''}")
    asking = Asking(TypedLines(sys.stdin), say)
    try:
        if not stage.begin(desk, asking):
            return False
        say("Each answer is kept as soon as it is typed. Enter leaves one out, q ends, - withdraws what is kept.")
        say()
        stage.ask(desk, asking)
        desk.ask_photographs(asking)
    except Stopped as stopped:
        begun = stage.begun(desk)
        say(f"{stopped}; {desk.kept_words() if begun else 'not begun'}")
        return begun
    except KeyboardInterrupt:
        click.echo(f"\n{desk.kept_words()}", err=True)
        raise
    return True


def _told(stage: Stage, desk: StageDesk, call: StageCall) -> ExitStatus:
    from bench.cli.stage_views import document, status_of, tell

    account = stage.account(desk)
    desk.keep_judged(account.remarks)
    if call.as_json:
        click.echo(json.dumps(document(desk, account)))
    else:
        tell(desk, account)
    return status_of(account.remarks)
