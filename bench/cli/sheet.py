"""`turnproof sheet`: what the person at the winding machine needs, on paper."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

__all__ = ["command"]


@click.command("sheet")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--html", type=click.Path(path_type=Path), help="Write the sheet as pages to print.")
@click.option("--pdf", type=click.Path(path_type=Path), help="Write the sheet on paper, A4, to tick at the machine.")
@click.option("--csv", type=click.Path(path_type=Path), help="Write its layers as a table, one row a layer.")
@click.option("--section", type=click.Path(path_type=Path), help="Draw the window to scale, SVG.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(
    job_file: Path, html: Path | None, pdf: Path | None, csv: Path | None, section: Path | None, as_json: bool
) -> int:
    """Write the winding sheet of JOB in the order of the work: former, each winding layer by layer, what it should read
    before it is buried, leads, restacking. As text on stdout, unless a file is asked for.

    Ends with 2 where the build doesn't fit the window.
    """
    from bench.design.plan import plan_of
    from bench.design.section import section_of
    from bench.design.sheet import sheet_of
    from bench.design.sheet_csv import sheet_csv
    from bench.design.sheet_html import sheet_html
    from bench.design.sheet_text import sheet_text
    from bench.design.sheet_words import verdict
    from bench.sitting.opening import open_job
    from bench.whole_test import rules_named

    for path, ending in ((html, ".html"), (pdf, ".pdf"), (csv, ".csv"), (section, ".svg")):
        # /dev/stdout and its like have no ending
        if path is not None and path.suffix and not ending.startswith(path.suffix.lower()):
            raise BadInput(f"{path}: expected a name that ends in {ending}")
    try:
        plan = plan_of(open_job(job_file))
        sheet = sheet_of(plan, rules_named())
    except ValueError as problem:
        raise BadInput(f"{job_file}: {problem}") from None
    if html is not None:
        _write(html, sheet_html(sheet, section_of(plan)), quiet=as_json)
    if pdf is not None:
        from bench.design.sheet_paper import sheet_paper

        _write(pdf, sheet_paper(sheet, section_of(plan)), quiet=as_json)
    if csv is not None:
        _write(csv, sheet_csv(sheet), quiet=as_json)
    if section is not None:
        _write(section, section_of(plan).svg, quiet=as_json)
    if as_json:
        document = {"schema": 1, "job": sheet.number, "fits": sheet.fits, **asdict(sheet)}
        click.echo(json.dumps(document, indent=2))
    elif html is pdf is csv is section is None:
        click.echo(sheet_text(sheet), nl=False)
    if sheet.fits:
        return ExitStatus.DONE
    click.echo(verdict(sheet), err=True)
    return ExitStatus.UNDECIDED


def _write(path: Path, contents: str | bytes, *, quiet: bool) -> None:
    """A table's line ends are its own: they are written as they are."""
    try:
        path.write_bytes(contents.encode() if isinstance(contents, str) else contents)
    except OSError as problem:
        raise BadInput(f"{path}: can't be written: {problem.strerror}") from None
    click.echo(f"{path}: written", err=quiet)
