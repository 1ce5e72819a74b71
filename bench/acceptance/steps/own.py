"""A step of the workshop's own: something done, a value typed, or a reading between two terminals."""

from __future__ import annotations

import re
from dataclasses import replace

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import judge, unreadable_result
from bench.acceptance.requests import Confirm, Connect, Enter, Skipped, StepDone, Trouble
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from bench.job.procedure_file import OwnStep
from drivers.reading import Quantity, State

_NUMBER = re.compile(r"[+-]?\d{1,12}(?:[.,](\d{0,12}))?")
_ATTEMPTS = 5


def about(step: OwnStep) -> About:
    mains = step.feed == "nominal"
    return About(
        words=step.text,
        mains=mains,
        feeds=step.feed != "nothing",
        guards=("conditions", "insulation", "first_power") if mains else (),
        minutes_each=1.0,
    )


def plan(step: OwnStep, context: Context) -> list[PlannedStep]:
    return [PlannedStep(step.name, step.text, required=True)]


def run(step: OwnStep, context: Context) -> Steps:
    try:
        if step.reads is not None:
            yield from _read(step, context)
        elif step.unit:
            yield from _typed(step)
        else:
            yield Confirm(step.name, step.text, step.cautions)
            yield StepDone(_done(step))
    except Skipped as reason:
        context.skip(step.name, str(reason))
    yield from context.switch_off(step.name)


def _done(step: OwnStep) -> StepResult:
    return StepResult(step.name, step.text, "own", "", None, State.GOOD, "", Verdict.ACCEPTED, note="done")


def _typed(step: OwnStep) -> Steps:
    """A plain number in the unit that the step names; half a digit is how well it was read."""
    ask = Enter(step.name, Quantity.OWN, step.text, step.unit, cautions=step.cautions)
    problem = ""
    for _ in range(_ATTEMPTS):
        text = yield Enter(ask.step, ask.quantity, problem + ask.text, ask.unit, cautions=ask.cautions)
        bare = str(text).strip().removesuffix(step.unit).strip()
        match = _NUMBER.fullmatch(bare)
        if match is not None:
            digits = len(match.group(1) or "")
            value = float(bare.replace(",", "."))
            yield StepDone(_judged(step, Estimate(value, {f"{step.name}:digit": 10.0**-digits / 12**0.5}), ()))
            return
        problem = f"{str(text)[:40]!r}: expected a number of {step.unit}. "
    raise Trouble(f"{step.name}: no readable value in {_ATTEMPTS} attempts")


def _read(step: OwnStep, context: Context) -> Steps:
    assert step.reads is not None
    quantity = Quantity(step.reads)
    expected = next((abs(limit) for limit in (step.upper, step.lower) if limit is not None), None)
    winding = step.from_.partition(".")[0]
    yield from context.connect(
        Connect(
            step.name,
            quantity,
            step.from_,
            step.to,
            winding=winding,
            text=step.text,
            cautions=step.cautions,
            expected=expected,
        )
    )
    if step.feed == "low volts":
        yield from context.excite(context.feed(step.name, context.low_feed_volts(), "low voltage"))
    elif step.feed == "nominal":
        yield from context.excite(context.feed(step.name, context.expectation.voltage, "variac"))
    reading = yield from context.take(step.name, quantity, expected)
    if reading.state is not State.GOOD:
        note = f"the meter reads {reading.state}"
        yield StepDone(
            unreadable_result(step.name, step.text, str(quantity), winding, quantity.unit, reading,
                              basis=step.basis, note=note)
        )  # fmt: skip
        return
    yield StepDone(_judged(step, Estimate.of(reading), (reading.raw,)))


def _judged(step: OwnStep, estimate: Estimate, raw: tuple[str, ...]) -> StepResult:
    unit = step.unit if step.reads is None else Quantity(step.reads).unit
    if step.lower is None and step.upper is None:
        return StepResult(
            step.name, step.text, "own", "", estimate.value, State.GOOD, unit, Verdict.ACCEPTED,
            u=estimate.u, components=estimate.components, raw=raw, note="recorded; the procedure sets no limit",
        )  # fmt: skip
    result = judge(
        step.name, step.text, "own", "", unit, estimate,
        lower=step.lower, upper=step.upper, basis=step.basis,
    )  # fmt: skip
    return replace(result, raw=raw)
