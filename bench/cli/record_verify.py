"""`turnproof record verify`: whether anything in the record was altered, taken out, moved or cut off."""

from __future__ import annotations

import re

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_open
from bench.sitting.problems import BadInput

__all__ = ["command"]

_HASH = re.compile(r"[0-9a-f]{64}")


@click.command("verify")
@click.argument("jobs", metavar="[JOB]...", nargs=-1)
@click.option("--head", default="", metavar="HASH", help="As a certificate has it: the record must still hold it.")
def command(jobs: tuple[str, ...], head: str) -> int:
    """Check the hash chain of each JOB (a job file, or the number of a job), and every file that is attached; without
    JOB, of all that have a record.

    A tail that was cut off leaves a whole chain: --head finds that, too. Ends with 1 where anything is wrong.
    """
    from bench.sitting.record_checked import checked

    if head and len(jobs) != 1:
        raise BadInput(f"--head {head[:12]}: belongs to one job, expected it named")
    if head and _HASH.fullmatch(head.lower()) is None:
        raise BadInput(f"--head {head}: is no hash, expected 64 of 0 to 9 and a to f")
    wrong = False
    with record_open() as store:
        for number in [number_on_record(store, job) for job in jobs] or store.jobs():
            found = checked(store, number, head.lower())
            for line in found.problems:
                click.echo(line, err=True)
            if found.problems:
                wrong = True
            else:
                click.echo(f"{number}: {found.words}, head {found.head}")
    return ExitStatus.REJECTED if wrong else ExitStatus.DONE
