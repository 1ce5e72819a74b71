"""`turnproof survey JOB --readings`: what the old windings should read, by their counts, wire and core."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus

if TYPE_CHECKING:
    from bench.job.model import Job
    from bench.sitting.survey_known import KnownSoFar

__all__ = ["show_readings"]


def show_readings(job: Job, known: KnownSoFar, as_json: bool) -> int:
    """Of the unit as it came, on the supply it was made for; incomplete while a winding is not counted."""
    from bench.cli.readings_view import reading_lines
    from bench.design.expected import NotEnough
    from bench.design.readings import foreseen
    from bench.job.profiles import load_table
    from bench.survey.old_windings import job_as_found, turns_within

    found, counted = known.gathered.found, known.gathered.counted
    old = job_as_found(job, found, counted)
    reasons: tuple[str, ...] = ("the windings as found, each with its role, and counted",)
    prediction = None
    if old is not None:
        within = {one.name: one.turns_within or 0.0 for one in found.winding} | turns_within(counted)
        try:
            prediction = foreseen(old, load_table("limits", "small-mains"), within)
        except NotEnough as problem:
            reasons = tuple(problem.needs)
    if old is None or prediction is None:
        if as_json:
            click.echo(json.dumps({"schema": 1, "job": job.identity.number, "readings": [], "missing": list(reasons)}))
        for reason in reasons:
            click.echo(f"what the old windings should read is not known without {reason}", err=as_json)
        return ExitStatus.UNDECIDED
    if as_json:
        rows = [row.as_json() for row in prediction.rows]
        document = {"schema": 1, "job": job.identity.number, "readings": rows, "left_out": list(prediction.left_out)}
        click.echo(json.dumps(document, indent=1))
        return ExitStatus.DONE
    supply = old.supply
    assert supply is not None
    click.echo(
        f"What the old windings should read on the {supply.voltage:g} V, {supply.frequency:g} Hz that they were made "
        "for, ± with k = 2:"
    )
    for line in (*reading_lines(prediction.rows), *(f"  {one}" for one in prediction.left_out)):
        click.echo(line)
    return ExitStatus.DONE
