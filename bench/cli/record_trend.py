"""`turnproof record trend`: one instrument over time."""

from __future__ import annotations

import json
import sys

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import record_to_search
from bench.sitting.problems import BadInput

__all__ = ["command"]


@click.command("trend")
@click.argument("instrument")
@click.option("--csv", "as_csv", is_flag=True, help="Each deviation as a row of CSV on stdout.")
@click.option("--server", "on_server", is_flag=True, help="What the workshop has on its server, not what is here.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(instrument: str, as_csv: bool, on_server: bool, as_json: bool) -> int:
    """Show how far the readings of INSTRUMENT lay from what was due over its tests, its calibrations, and its drift.

    INSTRUMENT: a part of its name, identity, serial or certificate number. The drift is a weighted straight line with
    its doubt; the units' own scatter is in it. The mains' frequency is the one thing that hardly scatters.
    """
    from bench.sitting.instrument_trend import instrument_trend, trend_document, trend_lines, trend_rows

    if as_csv and as_json:
        raise BadInput("--csv and --json: expected one of them")
    with record_to_search(on_server, "record trend") as records:
        if records is None:
            raise BadInput(f"{instrument!r}: no record yet")
        trend = instrument_trend(records, instrument)
    if as_json:
        click.echo(json.dumps(trend_document(trend), indent=1))
    elif as_csv:
        import csv

        rows = trend_rows(trend)
        writer = csv.DictWriter(sys.stdout, list(rows[0]) if rows else ["at_utc"], lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    else:
        click.echo("\n".join(trend_lines(trend)))
    return ExitStatus.DONE
