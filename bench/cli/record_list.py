"""`turnproof record list`: jobs by number, equipment, date, verdict, fault or instrument."""

from __future__ import annotations

import json

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import record_to_search

__all__ = ["command", "list_jobs"]

_PAGE = 50


@click.command("list")
@click.option("--job", default="", metavar="TEXT", help="A part of the job's number.")
@click.option("--equipment", default="", metavar="TEXT", help="Words of equipment, name, maker, model, serial, owner.")
@click.option("--since", default="", metavar="DATE", help="From this day on (UTC): 2027-03-14, 2027-03 or 2027.")
@click.option("--until", default="", metavar="DATE", help="Up to this day, month or year, itself included.")
@click.option("--verdict", default="", metavar="V", help="Of the last test: accepted, rejected, ..., or untested.")
@click.option("--fault", default="", metavar="NAME", help="Named by a test with 20 % or more, such as core_gap.")
@click.option("--instrument", default="", metavar="TEXT", help="A part of a name, identity, serial or certificate no.")
@click.option("--limit", type=click.IntRange(1), default=_PAGE, show_default=True, help="Show at most so many.")
@click.option("--server", "on_server", is_flag=True, help="What the workshop has on its server, not what is here.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(
    job: str, equipment: str, since: str, until: str, verdict: str, fault: str, instrument: str, limit: int,
    on_server: bool, as_json: bool,
) -> int:  # fmt: skip
    """List jobs, those on which something was kept last first; options narrow it down together.

    Dates are of the test with --verdict or --fault, of the use with --instrument, else of what was kept last.
    Ends with 2 where none is found.
    """
    return list_jobs(
        job=job, equipment=equipment, since=since, until=until, verdict=verdict, fault=fault, instrument=instrument,
        limit=limit, on_server=on_server, as_json=as_json,
    )  # fmt: skip


def list_jobs(*, limit: int = _PAGE, on_server: bool = False, as_json: bool = False, **typed: str) -> int:
    from bench.records.search.asked import find_jobs
    from bench.sitting.asked_words import asked_of, found_document, found_lines

    asked = asked_of(**typed)
    with record_to_search(on_server, "record list") as records:
        found = None if records is None else find_jobs(records, asked, limit)
    jobs = () if found is None else found.jobs
    more, note = (False, "") if found is None else (found.more, found.note)
    if note:
        click.echo(note, err=True)
    if as_json:
        click.echo(json.dumps(found_document(jobs, more=more, note=note), indent=1))
    elif jobs:
        click.echo("\n".join(found_lines(jobs, more=more, most=limit)))
    else:
        click.echo("no job fits" if asked.anything else "no records yet")
    return ExitStatus.DONE if jobs or not asked.anything else ExitStatus.UNDECIDED
