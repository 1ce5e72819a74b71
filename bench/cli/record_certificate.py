"""`turnproof record certificate`: what a customer keeps of the last test."""

from __future__ import annotations

from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_open

__all__ = ["command"]


@click.command("certificate")
@click.argument("job")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--over", is_flag=True, help="Write over a file that is there.")
def command(job: str, file: Path, over: bool) -> int:
    """Write the certificate of the last finished test of JOB (a job file, or the number of a job) to FILE: on paper
    where it ends in .pdf, as a web page where it ends in .html."""
    from bench.sitting.certificate_file import certificate_in_form_of, known_form
    from bench.sitting.written_file import write_whole

    known_form(file)
    with record_open() as store:
        write_whole(file, certificate_in_form_of(store, number_on_record(store, job), file), over=over)
    click.echo(f"{file}: written")
    return ExitStatus.DONE
