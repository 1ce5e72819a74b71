"""`turnproof diagnose`: which fault explains the readings together, and what to measure next."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.cli.wrapped import say
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from collections.abc import Callable

    from bench.acceptance.result import StepResult
    from bench.diagnosis.diagnose import Diagnosis
    from bench.job.model import Job

__all__ = ["command"]

_LEAST = 0.02


@click.command("diagnose")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option(
    "--reading", "readings", multiple=True, metavar="WHAT=VALUE",
    help="A reading, beside or instead of the last test's: ohms:heater='0.36 ohm', volts:heater='6.9 V@229.6 V', "
    "amps='180 mA@120 V', watts='1.9 W@120 V', stack='42 mm', search:10='3.5 V@230 V' (a search coil of 10 turns), "
    "sum:ht-heater='23.9 V@10 V', bucking:ht-heater='23.3 V@10 V'; behind @ the volts on the primary. "
    "backfed:primary-ht='228.1 V@535.9 V': volts of one at those of another, a third winding fed. What a look showed: "
    "look:core_gap=no, look:joint_poor:heater=yes. Once for each.",
)  # fmt: skip
@click.option("--meter", metavar="NAME", help="The hand meter of the bench file that they were read by.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option("--alone", is_flag=True, help="The readings typed here alone, without the last test's.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(
    job_file: Path, readings: tuple[str, ...], meter: str | None, bench_path: Path | None, alone: bool, as_json: bool
) -> int:
    """Say what is probably wrong with the unit of JOB, from its last test's readings or from readings typed here.

    A JOB that is no design yet (turns are missing) will do: readings typed here are then compared with those as
    found and with the nameplate. That tells less, and it says what it can't tell. There give a wattmeter's watts as
    they are: what the primary's own ohms take is taken off them; with a design, take it off yourself.

    It judges nothing: whether a unit is accepted, the test says.
    """
    from bench.acceptance.decision import Verdict
    from bench.cli.diagnose_then import then_lines
    from bench.design.expected import needs_for_test
    from bench.design.forward import forward_for
    from bench.diagnosis.diagnose import Diagnosis
    from bench.sitting.opening import open_bench_file, open_job
    from bench.whole_test import rules_named

    job = open_job(job_file)
    needs = needs_for_test(job)
    if needs:
        from bench.cli.diagnose_without_design import diagnose_without_design

        hand = _accuracies(open_bench_file(bench_path), meter)
        return diagnose_without_design(job_file, job, needs, readings, hand, _LEAST, as_json)
    kept: tuple[StepResult, ...] = () if alone else _of_last_test(job)
    rules = rules_named()
    forward = forward_for(job, rules)
    typed = _typed(readings, forward.design, _accuracies(open_bench_file(bench_path), meter))
    taken = {one.id for one in typed}
    steps = (*(one for one in kept if one.id not in taken), *typed)
    if not any(one.measured is not None or one.verdict is Verdict.REJECTED for one in steps):
        raise BadInput(f"{job_file}: no test is kept and no reading given, expected --reading or a test before")
    given = [*["--alone"] * alone, *(["--meter", meter] if meter else []), *_bench_option(bench_path)]

    def then(answers: tuple[str, ...]) -> list[str]:
        return then_lines(job_file, readings, answers, given)

    return _say(Diagnosis(job, rules, forward), steps, len(kept), len(typed), as_json, then)


def _bench_option(path: Path | None) -> list[str]:
    return [] if path is None else ["--bench", str(path)]


def _of_last_test(job: Job) -> tuple[StepResult, ...]:
    """Steps of the last test that began, whether it came to its end or not; each as it was read last."""
    from bench.acceptance.result import step_result_of
    from bench.records.entry import Kind
    from bench.records.problem import RecordProblem
    from bench.sitting.opening import open_store

    steps: dict[str, StepResult] = {}
    try:
        with open_store() as store:
            for one in store.landmarks(job.identity.number):
                if one.kind == Kind.TEST_BEGUN:
                    steps = {}
                elif one.kind == Kind.STEP:
                    step = step_result_of(one.body)
                    steps[step.id] = step
                elif one.kind == Kind.RESULT:
                    # The result's steps have what the end of the test made of them.
                    for body in one.body["steps"]:
                        step = step_result_of(body)
                        steps[step.id] = step
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None
    return tuple(steps.values())


def _accuracies(bench: Any, meter: str | None) -> dict[Any, Any]:
    from bench.job.bench_file import MeterEntry
    from bench.sitting.opening import hand_accuracies

    by_hand = [one for one in bench.meter if one.use == "hand"]
    if meter is not None:
        by_hand = [one for one in bench.meter if one.name == meter]
        if not by_hand:
            known = ", ".join(one.name for one in bench.meter) or "none in the bench file"
            raise BadInput(f"--meter {meter}: not in the bench file, expected one of {known}")
    return dict(hand_accuracies(by_hand[0] if by_hand else MeterEntry(name="hand", use="hand")))


def _typed(readings: tuple[str, ...], design: Any, accuracies: dict[Any, Any]) -> tuple[StepResult, ...]:
    from bench.diagnosis.typed import TypedProblem, TypedReadings

    taken = TypedReadings(design, accuracies)
    try:
        return tuple(taken.step(one) for one in readings)
    except TypedProblem as problem:
        raise BadInput(f"--reading {problem}") from None


def _say(
    diagnosis: Diagnosis, steps: tuple[StepResult, ...], kept: int, typed: int, as_json: bool,
    then: Callable[[tuple[str, ...]], list[str]],
) -> int:  # fmt: skip
    from bench.diagnosis.faults import explains

    findings, following = diagnosis(steps, (), least=_LEAST)
    good = sum(probability for one, probability in diagnosis.posterior(steps) if one.fault == "none")
    if as_json:
        document = {
            "schema": 1,
            "good": round(good, 4),
            "findings": [one.as_json() for one in findings],
            "next": None if following is None else following.as_json(),
        }
        click.echo(json.dumps(document, indent=1))
        return ExitStatus.DONE
    sources = [f"{kept} steps of the last test"] * bool(kept) + [f"{typed} typed reading{'s' * (typed > 1)}"] * bool(
        typed
    )
    click.echo(f"from {' and '.join(sources)}:")
    click.echo(f"  {good:>5.0%}  nothing is wrong")
    for one in findings:
        click.echo(f"  {one.probability:>5.0%}  {explains(one.fault, one.winding, one.size)}")
    if findings and findings[0].probability > good:
        first = findings[0]
        speaks, against = diagnosis.speaking(steps, first.fault, first.winding)
        say(f"\n{explains(first.fault, first.winding, first.size)}")
        for sentence in diagnosis.in_words(steps, first.fault, first.winding):
            say(f"  {sentence}")
        for heading, lines in (("speaks for it", speaks), ("speaks against it", against)):
            for line in lines:
                say(f"  {heading}: {line}")
        say(f"  to settle it: {first.check}")
        say("  to mend it before varnish, the least work first:")
        for number, rung in enumerate(first.rungs, 1):
            say(f"{number:>5}  {rung}")
    if following is not None:
        say(f"\nmeasure next: {following.step}\n  {following.why}")
        for line in then(following.answers):
            click.echo(f"  {line}")  # to be copied whole
    return ExitStatus.DONE
