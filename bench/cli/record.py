"""`turnproof record`: the record of a job; `record verify`, `record certificate` and `record picture` beside it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_open
from bench.cli.record_certificate import command as certificate
from bench.cli.record_export import command as export
from bench.cli.record_forward import command as forward
from bench.cli.record_import import command as import_
from bench.cli.record_judge import command as judge
from bench.cli.record_picture import command as picture
from bench.cli.record_verify import command as verify

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["command"]

_SHOW = "show"


class _ShowsByDefault(click.Group):
    """`record JOB` is `record show JOB`, and `record` lists the jobs."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args or (args[0] not in self.commands and args[0] not in ctx.help_option_names):
            args = [_SHOW, *args]
        return super().parse_args(ctx, args)


@click.group("record", cls=_ShowsByDefault)
def command() -> None:
    """What was counted, read and judged, and whether it still stands as it was kept.

    `turnproof record` lists the jobs that have a record, `turnproof record JOB` shows that of one.
    """


@command.command(_SHOW)
@click.argument("job", required=False)
@click.option("--all", "every", is_flag=True, help="Every count of a run, and not its first and last in one line.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def show(job: str | None, every: bool, as_json: bool) -> int:
    """Show the record of JOB (a job file, or the number of a job); without JOB, list the jobs that have one."""
    with record_open() as store:
        if job is None:
            return _list(store.jobs(), as_json)
        return _show(store, number_on_record(store, job), every, as_json)


command.add_command(verify)
command.add_command(certificate)
command.add_command(export)
command.add_command(forward)
command.add_command(picture)
command.add_command(judge)
command.add_command(import_)


def _list(jobs: list[str], as_json: bool) -> int:
    if as_json:
        click.echo(json.dumps({"schema": 1, "jobs": jobs}))
    else:
        click.echo("\n".join(jobs) if jobs else "no records yet")
    return ExitStatus.DONE


def _show(store: Store, number: str, every: bool, as_json: bool) -> int:
    from bench.records.clock import set_back, span_words
    from bench.records.moments import second
    from bench.sitting.record_words import entry_summary, run_summary, runs

    entries = store.entries(number) if every or as_json else store.landmarks(number)
    if as_json:
        fields = ("seq", "kind", "at", "monotonic", "body", "previous", "hash")
        document = {"schema": 1, "job": number, "entries": [{f: getattr(e, f) for f in fields} for e in entries]}
        click.echo(json.dumps(document, indent=1))
        return ExitStatus.DONE
    before = ""
    for run in [[one] for one in entries] if every else runs(entries):
        first = run[0]
        by = set_back(before, first.at) if before else None
        if by is not None:
            click.echo(f"        the clock was set back by {span_words(by)}")
        before = run[-1].at
        words = entry_summary(first) if len(run) == 1 else f"{run_summary(run)}; --all shows each"
        click.echo(f"{first.seq:6d}  {second(first.at)}  {first.kind:<13} {words}")
    click.echo(f"head {store.head(number)}")
    return ExitStatus.DONE
