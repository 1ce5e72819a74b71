"""`turnproof block`: the support block and cheeks that hold a former while it is wound."""

from __future__ import annotations

from pathlib import Path

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

__all__ = ["command"]


@click.command("block")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--stl", type=click.Path(path_type=Path), help="Write block and cheeks for a printer, STL in mm.")
@click.option("--drawing", type=click.Path(path_type=Path), help="Write a drawing with dimensions, SVG on A4.")
@click.option("--spindle", default="8mm", show_default=True, help="Diameter of the spindle.")
@click.option("--clearance", default="0.2mm", show_default=True, help="Of block in former and spindle in hole, in all.")
@click.option("--inside", metavar="WIDTHxDEPTH", help="The former's inside as measured, such as 32.4mmx45.8mm.")
@click.option("--overhang", default="3mm", show_default=True, help="Of the cheeks over the winding.")
@click.option("--cheek", default="5mm", show_default=True, help="Thickness of the cheeks.")
@click.option("--slot", default="6mm", show_default=True, help="Width of the cheeks' slots for leads.")
def command(
    job_file: Path,
    stl: Path | None,
    drawing: Path | None,
    spindle: str,
    clearance: str,
    inside: str | None,
    overhang: str,
    cheek: str,
    slot: str,
) -> int:
    """Draw the support block that fills the former of JOB tightly while it is wound, and the two cheeks that back its
    flanges, from the core, the former and the wire of the job.

    The block comes out again and may be printed. A printed thermoplastic former near a hot winding may not.
    """
    import datetime

    from bench.design.plan import plan_of
    from bench.records.moments import day
    from bench.sitting.opening import open_job
    from bench.workshop.solid import LibraryMissing, laid_out, require_library
    from bench.workshop.stl import stl_bytes
    from bench.workshop.support import support_for
    from bench.workshop.support_drawing import support_drawing

    if stl is None and drawing is None:
        raise BadInput("nothing to write, expected --stl FILE, --drawing FILE or both")
    job = open_job(job_file)
    sizes = {"spindle": spindle, "clearance": clearance, "overhang": overhang, "cheek": cheek, "slot": slot}
    lengths = {name: _length(text, f"--{name}") for name, text in sizes.items()}
    try:
        plan = plan_of(job)
        support = support_for(plan, inside=_inside(inside), **lengths)
        heading = " · ".join(part for part in (job.identity.number, job.identity.name) if part)
        date = day(datetime.datetime.now(datetime.UTC).isoformat())
        if stl is not None:
            require_library()
            title = f"Support block and cheeks of {job.identity.number}, mm, {date}"
            _write(stl, stl_bytes(laid_out(support), title))
        if drawing is not None:
            shape = plan.shape
            text = support_drawing(
                support, heading=heading, date=date, window_width=shape.window_width, tongue=shape.tongue
            )
            _write(drawing, text.encode("utf-8"))
    except LibraryMissing as problem:
        raise BadInput(str(problem)) from None
    except ValueError as problem:
        raise BadInput(f"{job_file}: {problem}") from None
    mm = {name: f"{value * 1e3:.4g}" for name, value in vars(support).items() if isinstance(value, float)}
    click.echo(f"block   {mm['width']} x {mm['depth']} x {mm['length']} mm, hole {mm['hole']} mm")
    click.echo(f"cheeks  2 of {mm['cheek_width']} x {mm['cheek_depth']} x {mm['cheek_thickness']} mm")
    for path in (stl, drawing):
        if path is not None:
            click.echo(f"written {path}")
    for remark in support.remarks:
        click.echo(remark)
    return ExitStatus.DONE


def _length(text: str, option: str) -> float:
    from bench.quantities import Dimension, QuantityError, parse

    try:
        return parse(text, Dimension.LENGTH)
    except QuantityError as problem:
        raise BadInput(f"{option}: {problem}") from None


def _inside(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    sides = text.lower().replace("×", "x").split("x")
    if len(sides) != 2:
        raise BadInput(f"--inside: {text!r}, expected width x depth such as 32.4mmx45.8mm")
    return _length(sides[0], "--inside"), _length(sides[1], "--inside")


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as problem:
        raise BadInput(f"{path}: can't be written: {problem.strerror}") from None
