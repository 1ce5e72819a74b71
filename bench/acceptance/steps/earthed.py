"""Whether core, band and screens are joined to earth: ohms from the earth lead, before first power."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import judge, overload_result
from bench.acceptance.ohms import ohmmeter, read_ohms
from bench.acceptance.requests import Confirm, Connect, Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.second_look import looked_at_twice
from bench.estimate import Estimate
from drivers.reading import State

ABOUT = About(
    words="core, band and screens joined to earth",
    rules_out=("screen_unearthed",),
    guards=("conditions", "insulation"),
    minutes=2.0,
    minutes_each=1.0,
)

EARTH = "earth.lead"


@dataclass(frozen=True)
class _Body:
    """name, and the terminal that the ohms are read to;  doubt: what is not excluded even when they are few."""

    name: str
    terminal: str
    doubt: str = ""

    @property
    def step(self) -> str:
        return f"earthed:{self.name}"

    @property
    def label(self) -> str:
        return f"earth lead to {self.name}"


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(body.step, body.label, required=True) for body in _bodies(context)]


def run(context: Context) -> Steps:
    """All joined first, then each read by itself; what is not joined, or not read, bars mains."""
    try:
        yield Confirm("earthed", _to_join(context))
    except Skipped as reason:
        context.gates.append(f"core and screens were not joined to earth: {reason}")
        raise
    for body in _bodies(context):
        try:
            yield from _one(context, body)
        except Skipped as reason:
            context.skip(body.step, str(reason))
            context.gates.append(f"whether {body.name} is earthed was not measured")


def _bodies(context: Context) -> list[_Body]:
    bodies = [_Body("core", "core")]
    if context.job.core.band:
        bodies.append(_Body("band", "band"))
    for screen in context.job.screen:
        if screen.far_lead is not None:
            bodies.append(_Body(screen.name, f"{screen.name}.far_lead"))
        else:
            doubt = (
                "one end out: that the lead reaches the foil is not told by ohms, and a lead broken off under the tape "
                "is not excluded; the other end brought out, or the capacitance from primary to secondary, would tell"
            )
            bodies.append(_Body(screen.name, f"{screen.name}.lead", doubt))
    return bodies


def _to_join(context: Context) -> str:
    what = ["core", *(["band"] if context.job.core.band else []), *(f"{one.name}.lead" for one in context.job.screen)]
    joined = what[0] if len(what) == 1 else f"{', '.join(what[:-1])} and {what[-1]}"
    far = [f"{one.name}.far_lead" for one in context.job.screen if one.far_lead is not None]
    text = f"Join {joined} to the earth lead; a unit without one of its own gets one for the test."
    if far:
        text += f" Never {' and '.join(far)} as well: it stays open and covered, joined too it is a shorted turn."
    return text


def _one(context: Context, body: _Body) -> Steps:
    result = yield from looked_at_twice(
        context, lambda text: _read(context, body, text), "two things: leads or contact, bare metal under the clips?"
    )
    if result.verdict in (Verdict.REJECTED, Verdict.TROUBLE):
        context.gates.append(f"{body.name} is not proven to be earthed")
    yield StepDone(result)


def _read(context: Context, body: _Body, text: str) -> Generator[Request, Any, StepResult]:
    rules = context.rules["earthed"]
    words = text or f"Ohmmeter from the earth lead to {body.terminal}, bare metal under both clips, far from the joint."
    place = Connect(
        body.step, ohmmeter(context), EARTH, body.terminal, winding=body.name, text=words, expected=rules["maximum_ohm"]
    )
    reading = yield from read_ohms(context, place)
    if reading.state is not State.GOOD:
        return overload_result(
            body.step, body.label, "resistance", body.name, "ohm", reading,
            expected=None, basis=rules["basis"], note=f"open: {body.name} is not joined to earth",
        )  # fmt: skip
    ohms = Estimate.of(reading) - context.lead_ohms.get(place.quantity, Estimate(0.0))
    result = judge(
        body.step, body.label, "resistance", body.name, "ohm", ohms,
        lower=None, upper=rules["maximum_ohm"], basis=rules["basis"], readings=(reading,),
    )  # fmt: skip
    return replace(result, note="; ".join(note for note in (result.note, body.doubt) if note))
