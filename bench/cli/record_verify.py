"""`turnproof record verify`: whether anything in the record was altered, taken out, moved or cut off."""

from __future__ import annotations

import re
from contextlib import ExitStack
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, opened, record_open
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.records.reader import Records

__all__ = ["command"]

_HASH = re.compile(r"[0-9a-f]{64}")


@click.command("verify")
@click.argument("jobs", metavar="[JOB]...", nargs=-1)
@click.option("--head", default="", metavar="HASH", help="As a certificate has it: the record must still hold it.")
@click.option("--server", "on_server", is_flag=True, help="What the workshop has on its server, not what is here.")
def command(jobs: tuple[str, ...], head: str, on_server: bool) -> int:
    """Check the hash chain of each JOB (a job file, or the number of a job), and every file that is attached; without
    JOB, of all that have a record.

    A tail that was cut off leaves a whole chain: --head finds that, too. Ends with 1 where anything is wrong.
    """
    from bench.sitting.record_checked import checked, checked_on_server, damage_words
    from bench.sitting.shared_records import the_server

    if head and len(jobs) != 1:
        raise BadInput(f"--head {head[:12]}: belongs to one job, expected it named")
    if head and _HASH.fullmatch(head.lower()) is None:
        raise BadInput(f"--head {head}: is no hash, expected 64 of 0 to 9 and a to f")
    damage = ""
    with ExitStack() as things:
        if on_server:
            server = things.enter_context(opened(lambda: the_server("record verify")))
            found = [checked_on_server(server, one, head.lower()) for one in _numbers(server, jobs)]
        else:
            store = things.enter_context(record_open())
            found = [checked(store, one, head.lower()) for one in _numbers(store, jobs)]
            damage = damage_words(store) if any(one.problems for one in found) else ""
    for one in found:
        for line in one.problems:
            click.echo(line, err=True)
        if not one.problems:
            click.echo(f"{one.number}: {one.words}, head {one.head}")
    if damage:
        click.echo(damage, err=True)
    return ExitStatus.REJECTED if any(one.problems for one in found) else ExitStatus.DONE


def _numbers(records: Records, jobs: tuple[str, ...]) -> list[str]:
    return [number_on_record(records, job) for job in jobs] or records.jobs()
