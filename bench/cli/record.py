"""`turnproof record`: the record of a job; `record verify`, `record certificate` and `record picture` beside it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_open
from bench.cli.record_certificate import command as certificate
from bench.cli.record_compare import command as compare
from bench.cli.record_export import command as export
from bench.cli.record_forward import command as forward
from bench.cli.record_import import command as import_
from bench.cli.record_judge import command as judge
from bench.cli.record_list import command as listed
from bench.cli.record_list import list_jobs
from bench.cli.record_picture import command as picture
from bench.cli.record_trend import command as trend
from bench.cli.record_verify import command as verify

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["command"]

_SHOW = "show"
_PAGE, _ALL = 50, 10**9


class _ShowsByDefault(click.Group):
    """`record JOB` is `record show JOB`, and `record` lists the jobs."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args or (args[0] not in self.commands and args[0] not in ctx.help_option_names):
            args = [_SHOW, *args]
        return super().parse_args(ctx, args)


@click.group("record", cls=_ShowsByDefault)
def command() -> None:
    """What was counted, read and judged, and whether it still stands as it was kept.

    `turnproof record` lists the newest jobs, `turnproof record list` finds some, `turnproof record JOB` shows one.
    """


@command.command(_SHOW)
@click.argument("job", required=False)
@click.option("--test", type=click.IntRange(min=1), help="Only what belongs to this test of the job, from 1.")
@click.option("--all", "every", is_flag=True, help="Every count of a run, and not its first and last in one line.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def show(job: str | None, test: int | None, every: bool, as_json: bool) -> int:
    """Show the record of JOB (a job file, or the number of a job); without JOB, list the jobs that have one."""
    if job is None:
        return list_jobs(as_json=as_json, limit=_ALL if as_json else _PAGE)
    with record_open() as store:
        return _show(store, number_on_record(store, job), every, as_json, test)


command.add_command(verify)
command.add_command(certificate)
command.add_command(export)
command.add_command(forward)
command.add_command(picture)
command.add_command(judge)
command.add_command(import_)
command.add_command(compare)
command.add_command(listed)
command.add_command(trend)


def _show(store: Store, number: str, every: bool, as_json: bool, test: int | None) -> int:
    from bench.records.clock import set_back, span_words
    from bench.records.moments import second
    from bench.sitting.record_words import entry_summary, run_summary, runs

    entries = store.entries(number) if every or as_json else store.landmarks(number)
    if test is not None:
        from bench.sitting.kept_tests import chosen_test

        entries = list(chosen_test(entries, number, test).entries)
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
