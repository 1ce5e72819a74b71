"""`turnproof record compare`: two units side by side, or one before and after varnish."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_to_read

if TYPE_CHECKING:
    from bench.records.reader import Records

__all__ = ["command"]


@click.command("compare")
@click.argument("one", metavar="JOB[:TEST]")
@click.argument("other", metavar="[JOB[:TEST]]", required=False)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(one: str, other: str | None, as_json: bool) -> int:
    """Compare the last finished tests of two units, or, of one JOB alone, those before and after varnish.

    Each value with the difference, and whether it is more than the doubt of both; what one and the same meter has in
    common at both cancels. JOB:2 is the second test of a job. The record is only read.
    """
    from bench.sitting.compared_units import (
        before_and_after,
        compared_document,
        compared_lines,
        compared_tests,
        named_test,
    )

    with record_to_read() as records:
        job, number = _named(records, one)
        if other is None and number is None:
            tests = before_and_after(records.landmarks(job), job)
        else:
            second, its = (job, None) if other is None else _named(records, other)
            tests = (
                named_test(records.landmarks(job), job, number),
                named_test(records.landmarks(second), second, its),
            )
    compared = compared_tests(*tests)
    if as_json:
        click.echo(json.dumps(compared_document(compared), indent=1))
    else:
        click.echo("\n".join(compared_lines(compared)))
    return ExitStatus.DONE


def _named(records: Records, text: str) -> tuple[str, int | None]:
    """The job, and the number of the test where one is said."""
    before, colon, after = text.rpartition(":")
    if colon and after.isascii() and after.isdigit() and not records.count(text):
        return number_on_record(records, before), int(after)
    return number_on_record(records, text), None
