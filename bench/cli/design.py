"""`turnproof design`: what the new windings of a job should read."""

from __future__ import annotations

import json
from pathlib import Path

import click

from bench.cli.exits import BadInput, ExitStatus

__all__ = ["command"]


@click.command("design")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(job_file: Path, as_json: bool) -> int:
    """Say what the new windings of JOB should read, each with its doubt: ohms, ratios, open-circuit volts, exciting
    current and watts, and volts on load at low, nominal and high mains.

    Loads are those of [[load]]; a secondary without one feeds what its rated_voltage and rated_current say.
    """
    from bench.cli.readings_view import hint_lines, reading_lines
    from bench.design.expected import NotEnough, expect
    from bench.design.plan import plan_of
    from bench.design.readings import foreseen
    from bench.design.rise_on_load import WARM
    from bench.design.worth_knowing import worth_knowing
    from bench.job.file import FileProblem, read_job
    from bench.job.profiles import load_table

    try:
        job = read_job(job_file)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None
    rules = load_table("limits", "small-mains")
    try:
        found = foreseen(job, rules)
        expectation = expect(job, rules, with_curve=False)
    except NotEnough as problem:
        raise BadInput("\n".join(f"{job_file}: {need}: missing" for need in problem.needs)) from None
    except ValueError as problem:
        raise BadInput(f"{job_file}: {problem}") from None
    try:
        hints, no_plan = worth_knowing(plan_of(job), rules), ""
    except ValueError as problem:
        hints, no_plan = (), str(problem)
    if as_json:
        readings = [row.as_json() for row in found.rows]
        flux = expectation.flux_density
        document = {"schema": 1, "job": job.identity.number, "flux_density": flux, "readings": readings}
        document["worth_knowing"] = [
            {
                "of": one.of,
                "what": one.hint.what,
                "value": one.hint.value,
                "unit": one.hint.unit,
                "basis": one.hint.basis,
            }
            for one in hints
        ]
        document["thermal_class"] = None if found.thermal is None else found.thermal.as_json()
        document["doubts_on_load"] = list(found.doubts_on_load)
        document["left_out"] = list(found.left_out)
        click.echo(json.dumps({**document, "missing": list(expectation.missing)}, indent=2))
        return ExitStatus.DONE
    volts, hertz = expectation.voltage, expectation.frequency
    click.echo(f"{job.identity.name or job.identity.number}: what the new windings should read, ± with k = 2")
    if expectation.flux_density is not None:
        click.echo(f"  {expectation.flux_density:.3f} T peak at {volts:g} V, {hertz:g} Hz")
    if found.doubts_on_load:
        doubts = ", ".join(found.doubts_on_load)
        click.echo(
            f"  on load with copper at {WARM - 273.15:.0f} °C: its ± holds {doubts}; not the loads, not the mains"
        )
    for line in reading_lines(found.rows):
        click.echo(line)
    if found.thermal is not None:
        click.echo(f"    {found.thermal.sentence}")
    for line in found.left_out:
        click.echo(f"  {line}")
    if no_plan:
        click.echo(f"  it can't be laid: {no_plan}")
    elif hints:
        click.echo("  worth knowing before it is wound")
        for line in hint_lines(hints):
            click.echo(line)
    for missing in expectation.missing:
        click.echo(f"  not known without {missing}")
    return ExitStatus.DONE
