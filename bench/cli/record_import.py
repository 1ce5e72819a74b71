"""`turnproof record import`: the record of a job from another machine, looked through and then taken."""

from __future__ import annotations

import json
from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import record_open

__all__ = ["command"]


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--look", is_flag=True, help="Say what is in it, and take nothing.")
@click.option("--job-file", type=click.Path(path_type=Path), metavar="PATH",
              help="Write the job file there, its profiles into a folder beside it; never over one there.")  # fmt: skip
@click.option("--with-location", is_flag=True, help="Pictures that tell where they were taken, too.")
@click.option("--json", "as_json", is_flag=True, help="Say what is in it as one JSON document.")
def command(file: Path, look: bool, job_file: Path | None, with_location: bool, as_json: bool) -> int:
    """Take over the record of a job from FILE, a bundle (.zip) or a document (.json) of `record export`.

    All of it is looked through first: hashes, chain, names, sizes. A job that was begun here goes on with the entries
    that follow; one that was gone on with at both places is refused, and then nothing is taken.
    """
    from bench.records.exchange.taking import against
    from bench.sitting.import_file import coming_from, document_of, lines_of, must_be_free, taken, write_job

    with record_open() as store, coming_from(file, store) as coming:
        standing = against(store, coming)
        click.echo(json.dumps(document_of(coming, standing)) if as_json else "\n".join(lines_of(coming, standing)))
        if look:
            return ExitStatus.DONE
        if job_file is not None:
            must_be_free(coming, job_file)
        new = taken(store, coming, with_location=with_location)
        click.echo(
            f"{coming.number}: {new} entries taken" if new else f"{coming.number}: was here already", err=as_json
        )
        written = [] if job_file is None else write_job(coming, job_file)
        for path in written[:1]:
            click.echo(f"{path}: written", err=as_json)
        if len(written) > 1:
            click.echo(f"{written[1].parents[0]}: {len(written) - 1} profiles, read by nothing unasked", err=as_json)
        if job_file is None and coming.job_text and not as_json:
            click.echo(f"its job file: turnproof record import {file} --job-file {coming.number}.toml")
    return ExitStatus.DONE
