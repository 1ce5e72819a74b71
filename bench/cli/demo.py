"""`turnproof demo`: the whole job on simulated instruments, with one command."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus, of_verdict
from bench.cli.options import Finite
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.demo.run import DemoPlan

__all__ = ["command"]

_HEADLESS_SPEED = 40.0
_WINDOW_SPEED = 12.0


@click.command("demo")
@click.option("--headless", is_flag=True, help="No window, even where there is a display.")
@click.option("--fault", "faults", multiple=True, metavar="NAME[:WINDING][=SIZE]", help="Put a fault into the unit.")
@click.option("--seed", default=0, show_default=True, type=click.IntRange(min=0), help="Which unit, supply and meter.")
@click.option("--job", "job_name", default="coastal-receiver", show_default=True, help="An example job, or a job file.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for record and certificate.  [default: a new one]")
@click.option(
    "--speed",
    type=Finite(min=0.1, max=200.0),
    help="Times faster than life.  [default: 40, 12 with a window]",
)
@click.option("--tcp", is_flag=True, help="Sockets in place of pseudo-terminals.")
@click.option("--quiet", is_flag=True, help="Only the verdict.")
def command(
    headless: bool,
    faults: tuple[str, ...],
    seed: int,
    job_name: str,
    out: Path | None,
    speed: float | None,
    tcp: bool,
    quiet: bool,
) -> int:
    """Count, test, judge and record a rewound transformer on simulated instruments behind real serial ports.

    Nothing of your own is touched. Exit status by the verdict: 0 accepted, 1 rejected, 2 undecided or incomplete,
    4 trouble of an instrument or the supply.
    """
    from bench.demo.rehearsal_process import RehearsalFailed
    from bench.demo.run import DemoPlan
    from bench.job.file import FileProblem
    from bench.job.profiles import ProfileMissing, example_job
    from bench.records.problem import RecordProblem
    from drivers.errors import DriverError

    path = Path(job_name)
    if path.suffix != ".toml":
        try:
            path = example_job(job_name)
        except ProfileMissing as problem:
            raise BadInput(f"--job: {problem}") from None
    folder = _folder(out)
    window = not headless and _has_display()
    plan = DemoPlan(
        job=path, out=folder, faults=faults, seed=seed, tcp=tcp,
        speed=speed or (_WINDOW_SPEED if window else _HEADLESS_SPEED),
    )  # fmt: skip
    try:
        if window:
            return _with_window(plan, quiet)
        return _without_window(plan, quiet)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None
    except RehearsalFailed as problem:
        raise BadInput(str(problem)) from None
    except (DriverError, RecordProblem) as problem:
        raise InstrumentTrouble(str(problem)) from None


def _folder(out: Path | None) -> Path:
    """A folder of the demo's own; never one that holds somebody's record."""
    if out is None:
        import tempfile

        return Path(tempfile.mkdtemp(prefix="turnproof-demo-"))
    if (out / "records.sqlite").exists():
        raise BadInput(f"--out {out}: holds a record already, expected a new folder")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise BadInput(f"--out {out}: can't be made: {problem.strerror}") from None
    return out


def _has_display() -> bool:
    if os.environ.get("QT_QPA_PLATFORM"):
        return True
    if sys.platform.startswith("linux"):
        return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return True


def _without_window(plan: DemoPlan, quiet: bool) -> int:
    from bench.cli.demo_view import TextView
    from bench.demo.run import run_demo

    view = TextView(sys.stdout, quiet=quiet)
    result = run_demo(plan, (view,))
    view.told(result)
    return of_verdict(result.test.verdict)


def _with_window(plan: DemoPlan, quiet: bool) -> int:
    """With the dashboard while it runs; where Qt can't load, say what is missing and go on without."""
    from bench.cli.demo_view import TextView
    from bench.dashboard.loading import why_no_window

    missing = why_no_window()
    if missing:
        click.echo(f"{missing}; going on without a window", err=True)
        return _without_window(plan, quiet)
    from bench.dashboard.demo_window import run_with_window

    view = TextView(sys.stdout, quiet=quiet)
    result = run_with_window(plan, view)
    if result is None:
        click.echo("window closed before the end", err=True)
        return ExitStatus.INTERRUPTED
    view.told(result)
    return of_verdict(result.test.verdict)
