"""The winding program of a job: its course in RS-274, opened by what a person must read before it runs."""

from __future__ import annotations

from dataclasses import dataclass

from bench.design.plan import PlannedWinding, WindingPlan
from bench.workshop.course import Stop, Wind, course_of, duration, wire_words
from bench.workshop.rs274 import rs274_text
from bench.workshop.winder import Winder

__all__ = ["WindingProgram", "winding_program"]


@dataclass(frozen=True)
class WindingProgram:
    """text of the file;  turns that it winds, whatever their sense;  stops where it waits;  seconds [s] that it
    runs between them."""

    text: str
    turns: int
    stops: int
    seconds: float


def winding_program(plan: WindingPlan, winder: Winder, *, date: str, only: str = "") -> WindingProgram:
    """The program for all windings of a plan in one file, each after a stop, or for the winding named `only`.

    One file, since insulation and screens between windings are steps of the same work; one winding of it, to begin
    anew after a broken wire.  date: as it shall stand in the header.  Raises ValueError.
    """
    steps = course_of(plan, winder, only)
    identity = plan.job.identity
    minutes = duration(steps) / 60
    spindle, traverse = winder.spindle, winder.traverse
    header = [
        f"Winding program of job {identity.number}" + (f", {identity.name}" if identity.name else ""),
        f"Written {date} for winder {winder.name}: {winder.about or 'nothing said of it'}",
        *(
            f"Winding {one.name}: {one.winding.turns} turns of {wire_words(one)}, {_layers(one)}, "
            f"{one.winding.sense} from the left flange"
            for one in plan.windings
            if only in ("", one.name)
        ),
        f"About {minutes:.0f} min of turning; the stops come on top",
        "CAUTION: a turning spindle takes hair, sleeves, gloves and fingers. Guard closed, foot switch or stop button "
        "at hand, never alone with the machine out of reach",
        "It never starts by itself: it waits at M0 before the first move and at each piece of hand work",
        "At a stop the spindle stays as it stands, the wire under tension: wrap insulation round it by hand; turned by "
        "hand, it would lose its count",
        "Try it first without wire: left and right ends, sense of turning, and one layer's turns against a counter",
        f"{traverse.axis} 0 is the left flange's inner face, plus to the right. {spindle.axis} counts "
        f"{spindle.units_per_turn:g} a turn, {spindle.clockwise} is clockwise seen from the left flange",
        "Language RS-274/NGC, absolute, feeds in inverse time G93: F is moves a minute",
    ]
    return WindingProgram(
        text=rs274_text(steps, winder, header),
        turns=sum(abs(step.turns) for step in steps if isinstance(step, Wind)),
        stops=sum(isinstance(step, Stop) for step in steps),
        seconds=duration(steps),
    )


def _layers(planned: PlannedWinding) -> str:
    return "1 layer" if len(planned.layers) == 1 else f"{len(planned.layers)} layers"
