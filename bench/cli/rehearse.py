"""`turnproof rehearse`: a simulated bench behind real serial ports, in its own process."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.options import Finite
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.job.model import Job

__all__ = ["command"]


@click.command("rehearse")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--fault", "faults", multiple=True, metavar="NAME[:WINDING][=SIZE]", help="Put a fault into the unit.")
@click.option("--seed", default=0, show_default=True, type=click.IntRange(min=0), help="Which unit, supply and meter.")
@click.option("--tcp", is_flag=True, help="Sockets in place of pseudo-terminals.")
@click.option("--speed", default=1.0, show_default=True, type=Finite(min=0.01, max=1000.0),
              help="How many times faster than life.")  # fmt: skip
@click.option("--as-found", is_flag=True, help="The unit as it came, by the counts in [as_found], on today's mains.")
@click.option("--sensors", default=2, show_default=True, type=click.IntRange(1, 2), help="Sensors at the spindle.")
def command(
    job: Path, faults: tuple[str, ...], seed: int, tcp: bool, speed: float, as_found: bool, sensors: int
) -> None:
    """Try the whole JOB on simulated instruments: the rewound unit, or the one that came.

    Prints one JSON line with the ports of meter, counter and control, then serves until it is told to quit.
    """
    import json
    import os
    import time

    # Small matrices in one loop: more threads only wait for each other, badly so on a busy machine.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

    from bench.job.file import FileProblem, read_job
    from bench.rehearsal.clock import BenchClock
    from bench.rehearsal.faults import parse_fault
    from bench.rehearsal.ports import have_pseudo_terminals
    from bench.rehearsal.problems import RehearsalProblem
    from bench.rehearsal.serve import Rehearsal, open_pseudo_terminals, open_sockets, serve_until_told, stop_on_signals
    from bench.rehearsal.variation import draw_variation

    parent = os.getppid()
    opener = open_sockets if tcp or not have_pseudo_terminals() else open_pseudo_terminals
    try:
        read = _as_it_came(read_job(job), job) if as_found else read_job(job)
        parsed = tuple(parse_fault(text, read) for text in faults)
        variation = draw_variation(read, seed)
        with opener() as ports:
            rehearsal = Rehearsal(read, variation, parsed, ports, BenchClock(time.monotonic, speed), sensors)
            stop_on_signals(rehearsal)
            said = {"schema": 1, **rehearsal.addresses, "seed": seed, "speed": speed, "pid": os.getpid()}
            click.echo(json.dumps(said))
            serve_until_told(rehearsal, parent)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None
    except RehearsalProblem as problem:
        raise BadInput(str(problem)) from None


def _as_it_came(job: Job, where: Path) -> Job:
    """The windings as found, on the mains of this bench: what the unit was made for is the plate's business, not the
    wall's; raises BadInput where a winding is not counted, or no supply is known."""
    from bench.job.as_found import AsFound
    from bench.survey.old_windings import job_as_found

    found = job.as_found or AsFound()
    own = [one for one in found.winding if not one.search_coil]
    short = [one.name for one in own if one.turns is None or one.role is None]
    if short or not own:
        what = " ".join(["[[as_found.winding]]", ", ".join(short)]).strip()
        raise BadInput(f"{where}: {what}: role or turns missing, expected both of every winding to rehearse what came")
    came = job_as_found(job, found, ())
    if came is None:
        raise BadInput(f"{where}: supply: missing, expected voltage and frequency to rehearse what came")
    return came if job.supply is None else came.model_copy(update={"supply": job.supply})
