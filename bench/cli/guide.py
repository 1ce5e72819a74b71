"""`turnproof guide`: the user's guide, on the terminal or as web pages."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

__all__ = ["command"]

_PIPED_COLUMNS = 100


@click.command("guide")
@click.argument("page_name", metavar="[PAGE]", required=False)
@click.option("--html", type=click.Path(path_type=Path), metavar="FOLDER", help="Write all pages as web pages.")
@click.option("--path", is_flag=True, help="Say where the pages lie.")
def command(page_name: str | None, html: Path | None, path: bool) -> int:
    """Show PAGE of the guide; without PAGE, list the pages."""
    from bench.cli.wrapped import say, terminal_columns
    from bench.guide import FOLDER, page_named, pages
    from bench.guide.as_html import write_html
    from bench.guide.as_text import as_text
    from bench.sitting.names import expected_names

    if path:
        click.echo(FOLDER)
    if html is not None:
        try:
            written = write_html(html)
        except OSError as problem:
            raise BadInput(f"{problem.filename or html}: can't be written: {problem.strerror}") from None
        click.echo(f"{written[0]}: written, {len(written)} pages; open it with a browser")
    if page_name is None:
        if not path and html is None:
            listed = click.HelpFormatter(width=terminal_columns(sys.stdout) or _PIPED_COLUMNS)
            listed.write_dl([(page.name, page.about) for page in pages()])
            click.echo(listed.getvalue(), nl=False)
            say("turnproof guide PAGE shows one, --html FOLDER writes them all as web pages")
        return ExitStatus.DONE
    wanted = page_named(page_name)
    if wanted is None:
        raise BadInput(f"guide: no page {page_name!r}, {expected_names(page_name, (page.name for page in pages()))}")
    columns = terminal_columns(sys.stdout)
    text = as_text(wanted.text, columns or _PIPED_COLUMNS)
    if columns is None:
        click.echo(text, nl=False)
    else:
        click.echo_via_pager(text)
    return ExitStatus.DONE
