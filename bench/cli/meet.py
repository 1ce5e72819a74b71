"""`turnproof meet`: finds how an unknown meter is spoken to, and writes a profile to start from."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.options import Finite
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from drivers.line_settings import LineSettings
    from drivers.met import Met
    from drivers.nearest_profile import Likeness

__all__ = ["command"]


@click.command("meet")
@click.argument("port")
@click.option("--write", "target", metavar="FILE", type=click.Path(path_type=Path), help="Write a profile, NAME.toml.")
@click.option("--frame", "said_frame", metavar="FRAME", help="The frame, where you know it, such as '9600 8N1'.")
@click.option(
    "--patience", default=0.7, show_default=True, type=Finite(0.01, 10.0), help="Seconds to wait for each answer."
)
@click.option("--within", default=150.0, show_default=True, type=Finite(5.0, 3600.0), help="Seconds for all of it.")
@click.option("--wire-log", type=click.Path(path_type=Path), help="Keep every byte on the line in this file.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(
    port: str,
    target: Path | None,
    said_frame: str | None,
    patience: float,
    within: float,
    wire_log: Path | None,
    as_json: bool,
) -> int:
    """Find the frame and the dialect of the meter at PORT, such as /dev/ttyUSB0 or socket://192.0.2.7:5025.

    Only asks what the meter is and how it stands: nothing is selected, triggered or cleared. The meter may beep at
    questions that it does not know. It takes a third of a minute where the meter answers at 9600 8N1, and two and a
    half minutes at the most.
    """
    import time

    from bench.cli.meet_views import met_object, met_words, not_met_object, nothing_to_write, why_not_met
    from bench.sitting.opening import wire_log_at
    from drivers.errors import DriverError, Unsupported
    from drivers.finding_dialect import DialectSearch
    from drivers.finding_frame import Patience
    from drivers.frames import COMMON_FRAMES, FRAMES
    from drivers.link import Link
    from drivers.meeting import meet
    from drivers.met import NotMet
    from drivers.nearest_profile import nearest
    from drivers.profile_files import load_meter_profile, profile_names

    _check_port(port)
    if target is not None:
        _check_target(target)
    frames = FRAMES
    if said_frame is not None:
        frames = (_frame(said_frame),)
    elif "://" in port:
        frames = FRAMES[:1]
    known = [load_meter_profile(name) for name in profile_names("meters")]
    link = Link(port, wire_log=wire_log_at(wire_log))
    try:
        with link:
            link.retune(frames[0])
            search = DialectSearch(
                time.monotonic(),
                frames=frames,
                common=COMMON_FRAMES,
                known=known,
                patience=Patience(answer_s=patience),
                total_s=within,
            )
            found = meet(link, search, progress=lambda words: click.echo(words, err=True))
    except Unsupported as problem:
        raise BadInput(f"--frame: {problem}") from None
    except DriverError as problem:
        raise InstrumentTrouble(str(problem)) from None
    if isinstance(found, NotMet):
        if as_json:
            click.echo(json.dumps(not_met_object(port, found), indent=2))
        raise InstrumentTrouble(f"{port}: {why_not_met(found, port)}")
    near = nearest(found, known)
    written = None
    if target is not None and near is not None:
        written = _write(target, found, near)
    if as_json:
        click.echo(json.dumps(met_object(port, found, near, written), indent=2))
    else:
        for line in met_words(found, near):
            click.echo(line)
        if written is not None:
            click.echo(f"wrote {written}; put your meter's own figures there, then: turnproof check {written}")
    if near is None:
        click.echo(f"{port}: {nothing_to_write(found, port, profile_names('counters'))}", err=True)
        return ExitStatus.UNDECIDED
    return ExitStatus.UNDECIDED if found.cut_short or found.stopped else ExitStatus.DONE


def _check_port(port: str) -> None:
    if "@" in port:
        raise BadInput(
            f"port {port!r}: expected a port alone, such as {port.rpartition('@')[2]}; the profile is looked for"
        )
    if port == "hand":
        raise BadInput("port 'hand': expected a port, such as /dev/ttyUSB0; `turnproof ports` lists what is there")


def _check_target(target: Path) -> None:
    """Said before minutes are spent."""
    if target.suffix != ".toml":
        raise BadInput(f"--write: {target}: expected a name that ends with .toml")
    if target.exists():
        raise BadInput(f"--write: {target}: is there already, and is not written over")
    if not target.absolute().parent.is_dir():
        raise BadInput(f"--write: {target}: no such folder as {target.absolute().parent}")


def _frame(text: str) -> LineSettings:
    from drivers.frames import frame_from

    try:
        return frame_from(text)
    except ValueError as problem:
        raise BadInput(f"--frame: {problem}") from None


def _write(target: Path, found: Met, near: Likeness) -> str:
    from drivers.first_profile import first_profile
    from drivers.profile_files import meter_profile_table

    text = first_profile(found, near, meter_profile_table(near.profile.name), target.stem)
    try:
        with target.open("x", encoding="utf-8") as out:
            out.write(text)
    except OSError as problem:
        raise BadInput(f"--write: {target}: can't be written: {problem.strerror}") from None
    return str(target)
