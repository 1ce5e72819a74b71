"""`turnproof program`: the winding program for a CNC winder."""

from __future__ import annotations

from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

__all__ = ["command"]


@click.command("program")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--winder", "winder_name", required=True, help="A winder's profile by its name, or the path of your own.")
@click.option("--out", required=True, type=click.Path(path_type=Path), help="Write the program here.")
@click.option("--winding", default="", help="This winding only; else all, in their order, with stops between.")
def command(job_file: Path, winder_name: str, out: Path, winding: str) -> int:
    """Write the winding program of JOB in RS-274 (G-code): layers to and fro at their pitch, the last turns of each
    slowly, and a stop with a message (M0) for each start, tap, insulation, screen and finish.

    It moves nothing before you let it: the first line that is run waits. Guard closed, hair and sleeves away, foot
    switch at hand.
    """
    import datetime

    from bench.design.plan import plan_of
    from bench.records.moments import day
    from bench.sitting.opening import open_job
    from bench.workshop.winder import WinderProblem, load_winder
    from bench.workshop.winding_program import winding_program

    job = open_job(job_file)
    try:
        winder = load_winder(winder_name)
    except WinderProblem as problem:
        raise BadInput(str(problem)) from None
    try:
        program = winding_program(
            plan_of(job), winder, date=day(datetime.datetime.now(datetime.UTC).isoformat()), only=winding
        )
    except ValueError as problem:
        raise BadInput(f"{job_file}: {problem}") from None
    try:
        out.write_text(program.text, encoding="ascii", newline="\n")
    except OSError as problem:
        raise BadInput(f"{out}: can't be written: {problem.strerror}") from None
    click.echo(f"{program.turns} turns, {program.stops} stops, about {program.seconds / 60:.0f} min of turning")
    click.echo(f"written {out}, for {winder.name}: {winder.about or 'nothing said of it'}")
    click.echo("Try it first without wire. Guard closed, hair and sleeves away, foot switch at hand.")
    return ExitStatus.DONE
