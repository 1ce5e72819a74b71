"""`turnproof diagnose` for a job that is no design yet: against readings as found and the nameplate."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.diagnosis.without_design.diagnosis import Told
    from bench.job.model import Job

__all__ = ["diagnose_without_design"]


def diagnose_without_design(
    job_file: Path,
    job: Job,
    needs: list[str],
    readings: tuple[str, ...],
    accuracies: dict[Any, Any],
    least: float,
    as_json: bool,
) -> int:
    """Say what the typed readings tell; needs: keys for want of which the job is no design.  Raises BadInput."""
    from bench.diagnosis.without_design.diagnosis import NothingToCompare, WithoutDesign
    from bench.diagnosis.without_design.readings import SHAPES, ReadingProblem, read_all
    from bench.diagnosis.without_design.words import NOTHING_TO_COMPARE
    from bench.whole_test import rules_named

    diagnosis = WithoutDesign(job, rules_named()["priors"])
    if not readings:
        raise BadInput(f"{job_file}: no design ({needs[0]}: missing) and no reading given, expected --reading {SHAPES}")
    try:
        read = read_all(readings, diagnosis.known, accuracies)
        told = diagnosis(read, least)
    except ReadingProblem as problem:
        raise BadInput(f"--reading {problem}") from None
    except NothingToCompare as problem:
        raise BadInput(
            f"{job_file}: no design, and nothing to compare with: {problem}; {NOTHING_TO_COMPARE}; or for a design: "
            f"{', '.join(needs)}"
        ) from None
    if as_json:
        click.echo(json.dumps(told.as_json(), indent=1))
    else:
        _say(told, len(read), needs)
    return ExitStatus.DONE


def _say(told: Told, typed: int, needs: list[str]) -> None:
    from bench.diagnosis.without_design.words import ALWAYS, sentence

    click.echo(f"from {typed} typed reading{'s' * (typed > 1)}, {ALWAYS}:")
    for line in told.compared:
        click.echo(f"  {line}")
    click.echo(f"\n  {told.good:>5.0%}  nothing is wrong")
    for one in told.findings:
        click.echo(f"  {one.probability:>5.0%}  {sentence(one.fault, one.winding, one.size)}")
    click.echo(f"  {told.not_shown:>5.0%}  a fault that none of these readings would show")
    if told.findings and told.findings[0].probability > max(told.good, told.not_shown):
        first = told.findings[0]
        click.echo(f"\n{sentence(first.fault, first.winding, first.size)}")
        click.echo(f"  to settle it: {first.check}")
        click.echo(f"  to mend it: {first.remedy}")
    if told.not_told:
        click.echo("\nnot told:")
        for line in told.not_told:
            click.echo(f"  {line}")
    if told.next is not None:
        click.echo(f"\nmeasure next: {told.next.step}\n  {told.next.why}")
    click.echo(f"\nto compare with a design instead, the job needs: {', '.join(needs)}")
