"""`turnproof record export`: the record of a job as a table, as one document, or as a bundle for another machine."""

from __future__ import annotations

from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_open
from bench.sitting.problems import BadInput

__all__ = ["command"]


@click.command("export")
@click.argument("job", required=False)
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--test", "test", type=int, metavar="N", help="Readings of the Nth test alone.")
@click.option("--counts", is_flag=True, help="A table of counts, in place of readings.")
@click.option("--survey", is_flag=True, help="A table of what was read and counted as found.")
@click.option("--with", "beside", multiple=True, type=click.Path(path_type=Path), metavar="PROFILE",
              help="A profile of your own (.toml) that goes into the bundle; once for each.")  # fmt: skip
@click.option("--with-location", is_flag=True, help="Pictures that tell where they were taken, too.")
@click.option("--over", is_flag=True, help="Write over a file that is there.")
@click.option("--schema", type=click.Choice(["csv", "json"]), help="Print what describes such a file, and no file.")
def command(
    job: str | None, file: Path | None, test: int | None, counts: bool, survey: bool, beside: tuple[Path, ...],
    with_location: bool, over: bool, schema: str | None,
) -> int:  # fmt: skip
    """Write the record of JOB (a job file, or the number of a job) to FILE: a table of its tests' readings where it
    ends in .csv, the whole record as one document with all hashes where it ends in .json, and where it ends in .zip a
    bundle with job, record, pictures, counters' lines and profiles, which `record import` opens on another machine.

    `--schema csv` prints the description of the table's columns (CSV on the Web), which belongs beside it as
    FILE-metadata.json; `--schema json` the JSON Schema of the document.
    """
    from bench.sitting.export_file import form_of, schema_of, table_named

    if schema is not None:
        click.echo(schema_of(schema, table_named(counts=counts, survey=survey), file), nl=False)
        return ExitStatus.DONE
    if job is None or file is None:
        raise BadInput("record export: expected JOB and FILE, such as record export my-receiver.toml readings.csv")
    form = form_of(file)
    _fits(form, {"--test": test is not None, "--counts": counts, "--survey": survey}, ".csv")
    _fits(form, {"--with": bool(beside), "--with-location": with_location}, ".zip")
    match form:
        case ".csv":
            return _table(job, file, test, counts=counts, survey=survey, over=over)
        case ".json":
            return _document(job, file, over=over)
    return _bundle(job, file, beside, with_location=with_location, over=over)


def _fits(form: str, given: dict[str, bool], due: str) -> None:
    names = [name for name, was in given.items() if was]
    if names and form != due:
        raise BadInput(f"{', '.join(names)}: expected only with a FILE that ends in {due}")


def _table(job: str, file: Path, test: int | None, *, counts: bool, survey: bool, over: bool) -> int:
    from bench.sitting.export_file import table_named, table_of
    from bench.sitting.written_file import write_whole

    table = table_named(counts=counts, survey=survey)
    with record_open() as store:
        text, rows = table_of(store, number_on_record(store, job), table, test)
        write_whole(file, text, over=over)
    click.echo(f"{file}: {rows} rows written")
    return ExitStatus.DONE


def _document(job: str, file: Path, *, over: bool) -> int:
    from bench.sitting.export_file import document_of
    from bench.sitting.written_file import whole_file

    with record_open() as store:
        pieces, now = document_of(store, number_on_record(store, job))
        with whole_file(file, over=over) as out:
            out.writelines(pieces)
    click.echo(f"{file}: {now.entries} entries written, head {now.head}")
    return ExitStatus.DONE


def _bundle(job: str, file: Path, beside: tuple[Path, ...], *, with_location: bool, over: bool) -> int:
    from bench.records.exchange.bundle import write_bundle
    from bench.sitting.bundle_file import bundle_of, job_text_of
    from bench.sitting.written_file import whole_file

    with record_open() as store:
        number = number_on_record(store, job)
        contents = bundle_of(store, number, job_text_of(job), beside, with_location=with_location)
        with whole_file(file, over=over) as out:
            manifest = write_bundle(store, contents, out)
    for line in manifest.missing:
        click.echo(f"{number}: not in the bundle: {line}", err=True)
    attached = sum(name.startswith("attachments/") for name in manifest.files)
    click.echo(
        f"{file}: {manifest.entries} entries, {attached} pictures and certificates, {len(manifest.files)} files "
        f"written, "
        f"head {manifest.head}"
    )
    return ExitStatus.UNDECIDED if manifest.missing else ExitStatus.DONE
