"""`turnproof design`: find the new windings of a job, and say what they should read."""

from __future__ import annotations

import json
from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

__all__ = ["command"]


@click.command("design")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--search", is_flag=True, help="Find turns and wires anew, though the job has them.")
@click.option("--write", is_flag=True, help="Write what was found into the job file.")
@click.option("--strands", type=click.IntRange(1, 4), default=2, show_default=True, help="Wires in hand, at most.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(job_file: Path, search: bool, write: bool, strands: int, bench_path: Path | None, as_json: bool) -> int:
    """Find turns and wires for the new windings of JOB, and say what they should read, each with its doubt: ohms,
    ratios, open-circuit volts, exciting current and watts, and volts on load at low, nominal and high mains.

    A job that has its turns and wires is searched only with --search. What is asked stands in [targets], rated_voltage
    and rated_current; wires are those of the bench file, or all preferred sizes. Loads are those of [[load]]; a
    secondary without one feeds what its rating says. Ends with 2 where nothing fits.
    """
    from bench.cli.readings_view import hint_lines, reading_lines
    from bench.design.expected import NotEnough, expect
    from bench.design.plan import plan_of
    from bench.design.readings import foreseen
    from bench.design.rise_on_load import WARM
    from bench.design.worth_knowing import worth_knowing
    from bench.job.file import FileProblem, read_job
    from bench.job.profiles import load_table
    from bench.sitting import design_search

    try:
        job = read_job(job_file)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None
    rules = load_table("limits", "small-mains")
    searched: dict[str, object] = {}
    if search or write or design_search.is_due(job):
        from bench.sitting.opening import open_bench_file

        text = job_file.read_text(encoding="utf-8")
        bench = open_bench_file(bench_path)
        designed, gives = design_search.search(job, job_file, bench, strands)
        searched = design_search.found_json(designed, gives)
        if not as_json:
            click.echo("\n".join(design_search.found_lines(designed, gives, len(bench.wire))))
        if designed is None:
            if as_json:
                click.echo(json.dumps({"schema": 1, "job": job.identity.number, **searched}, indent=2))
            return ExitStatus.UNDECIDED
        if write:
            design_search.write(job_file, text, designed)
            click.echo(f"written into {job_file}", err=True)
        job = designed.job
        click.echo("", err=as_json)
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
        document |= searched
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
