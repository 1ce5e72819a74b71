"""`turnproof record certificate`: what a customer keeps of the last test."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_open
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.records.certificate import Gift
    from bench.records.store import Store

__all__ = ["command", "given"]


@click.command("certificate")
@click.argument("job")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--because", default="", metavar="REASON", help="Why one that was given is amended.")
@click.option("--number", "certificate", type=click.IntRange(min=1), help="One that was given before, to the bit.")
@click.option("--over", is_flag=True, help="Write over a file that is there.")
def command(job: str, file: Path, because: str, certificate: int | None, over: bool) -> int:
    """Write the certificate of the last finished test of JOB (a job file, or the number of a job) to FILE: on paper
    where it ends in .pdf, as a web page where it ends in .html.

    It is kept in the record with a number. Where nothing that it says has changed since the last one, that one is
    written again; else it amends that one, which needs a reason.
    """
    from bench.records.kept_profiles import keep_job_file
    from bench.sitting.certificate_file import certificate_again, known_form, told_of
    from bench.sitting.shared_records import bring_up_to_date

    known_form(file)
    with record_open() as store:
        number = number_on_record(store, job)
        if certificate is not None:
            if because:
                raise BadInput("--because: expected without --number, which amends nothing")
            words = certificate_again(store, number, file, certificate, over=over)
        else:
            if Path(job).is_file():
                bring_up_to_date(store, number)
                keep_job_file(store, number, Path(job))
            words = told_of(given(store, number, file, over=over, because=because))
    click.echo(f"{file}: written: {words}")
    return ExitStatus.DONE


def given(store: Store, number: str, file: Path, *, over: bool, because: str) -> Gift:
    """The certificate, written; a reason that is wanting is asked for at a terminal.  Raises BadInput."""
    from bench.sitting.certificate_file import ReasonWanted, certificate_as_file

    while True:
        try:
            return certificate_as_file(store, number, file, over=over, because=because)
        except ReasonWanted as wanted:
            if not sys.stdin.isatty():
                raise BadInput(f"--because REASON: {wanted}") from None
            click.echo(f"{wanted}", err=True)
            because = click.prompt("Reason, as it will stand on the certificate", err=True)
