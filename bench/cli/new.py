"""`turnproof new`: a job file from five questions."""

from __future__ import annotations

import datetime
import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.job.new_file import NewJob
    from bench.quantities import Dimension

__all__ = ["command"]


@click.command("new")
@click.argument("file", type=click.Path(path_type=Path))
def command(file: Path) -> int:
    """Start a job FILE from five questions; everything else is filled in later, with any editor."""
    from bench.job.new_file import job_text

    if file.exists():
        raise BadInput(f"{file}: exists already, expected a new name")
    if not file.parent.is_dir():
        raise BadInput(f"{file.parent}: no such folder, expected one that exists")
    try:
        text = job_text(_asked(file))
    except (click.Abort, KeyboardInterrupt):
        click.echo("\nnothing was written", err=True)
        raise
    try:
        with file.open("x", encoding="utf-8") as out:
            out.write(text)
    except OSError as problem:
        raise BadInput(f"{file}: can't be written: {problem.strerror}") from None
    click.echo(f"{file}: written. Next: add the windings as its comments show, then turnproof check {file}")
    return ExitStatus.DONE


def _asked(file: Path) -> NewJob:
    """The five answers; raises click.Abort where somebody breaks off."""
    from bench.job.new_file import NewJob
    from bench.quantities import Dimension

    what = click.prompt("1/5  What is it the transformer of", type=str)
    made_volts, made_hertz = _supply("2/5  Supply it was made for, volts and hertz (such as 117 V 60 Hz)", "")
    volts, hertz = _supply("3/5  Supply it is to run on, volts and hertz", "230 V 50 Hz")
    tongue = _quantity("4/5  Width of the core's tongue", Dimension.LENGTH, "mm")
    stack = _quantity("5/5  Height of the stack", Dimension.LENGTH, "mm")
    # The minute tells apart two jobs that were begun under the same name in different folders.
    number = f"{file.stem[:24]}-{datetime.datetime.now(datetime.UTC):%Y%m%d-%H%M}"
    return NewJob(number, what, made_volts, made_hertz, volts, hertz, tongue, stack)


# Public mains are 100 to 480 V, vehicles and bells have 6 V and more (common practice): beyond, a unit slipped.
_USUAL_VOLTS = (5.0, 500.0)

# Volts, then hertz: "117 V 60 Hz", "117V/60Hz", "117,5 60", "230 V, 50 Hz".
_VOLTS_AND_HERTZ = re.compile(
    r"\s*(\d[\d.,]*?\s*[A-Za-z]*)\s*(?:[\s,;/@]|\bat\b)\s*(?:at\s+)?(\d[\d.,]*\s*[A-Za-z]*)\s*"
)


def _supply(question: str, default: str) -> tuple[float, float]:
    from bench.quantities import Dimension, QuantityError, parse

    while True:
        text = click.prompt(question, type=str, default=default or None)
        match = _VOLTS_AND_HERTZ.fullmatch(text)
        if match is None:
            click.echo("  expected volts, then hertz, such as 230 V 50 Hz")
            continue
        try:
            volts = parse(match.group(1), Dimension.VOLTAGE, bare=True)
            hertz = parse(match.group(2), Dimension.FREQUENCY, bare=True)
        except QuantityError as problem:
            click.echo(f"  {problem}")
            continue
        if 1 <= volts <= 20_000 and 10 <= hertz <= 1000:
            click.echo(f"     taken as {volts:g} V, {hertz:g} Hz")
            if _USUAL_VOLTS[0] <= volts <= _USUAL_VOLTS[1] or _sure(volts):
                return volts, hertz
            continue
        click.echo("  expected 1 V to 20 kV, then 10 Hz to 1000 Hz, such as 230 V 50 Hz")


def _sure(volts: float) -> bool:
    low, high = _USUAL_VOLTS
    beyond = f"less than {low:g} V" if volts < low else f"more than {high:g} V"
    return click.confirm(f"     {volts:g} V is {beyond}: is a supply of so much meant?", default=False)


def _quantity(question: str, dimension: Dimension, unit: str) -> float:
    """A bare number is taken in the unit that the question names, and echoed with it."""
    from bench.quantities import QuantityError, parse

    while True:
        text = click.prompt(f"{question} [{unit}]", type=str).strip()
        try:
            float(text.replace(",", "."))
            text = f"{text} {unit}"
            click.echo(f"     taken as {text}")
        except ValueError:
            pass
        try:
            value = parse(text, dimension)
        except QuantityError as problem:
            click.echo(f"  {problem}")
            continue
        if 1e-3 <= value <= 0.5:
            return value
        click.echo("  expected 1 mm to 500 mm")
