"""`turnproof dashboard`: the window beside the winding machine and the test bench."""

from __future__ import annotations

from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

__all__ = ["command"]


@click.command("dashboard")
@click.argument("job_file", metavar="[JOB]", required=False, type=click.Path(path_type=Path))
@click.option("--counter", default="", help="PROFILE@PORT, or a counter of the bench file.")
@click.option("--meter", default="", help="PROFILE@PORT, a meter of the bench file, or hand.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
def command(job_file: Path | None, counter: str, meter: str, bench_path: Path | None) -> int:
    """Open the window: all stages of JOB, the instruments, what is kept of it.

    Each action stands on its key at the foot of the window.
    """
    from bench.dashboard.loading import why_no_window
    from bench.sitting.opening import open_bench_file

    bench = open_bench_file(bench_path)
    problem = why_no_window()
    if problem:
        raise BadInput(problem)
    from bench.dashboard.application import the_application
    from bench.dashboard.desk import Desk
    from bench.dashboard.desk_window import run_desk
    from bench.dashboard.window import Window
    from bench.sitting.shared_records import tell

    desk = Desk(bench)
    tell(desk.tell_from_elsewhere)
    if job_file is not None:
        desk.open_job(job_file)
    the_application()
    window = Window("", desk)
    window.winding.start.use_counter(counter)
    window.test.start.use_meter(meter)
    desk.choose_counter(counter)
    if meter:
        desk.choose_meters((meter,))
    run_desk(desk, window)
    return ExitStatus.DONE
