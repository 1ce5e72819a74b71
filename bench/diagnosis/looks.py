"""Looks: inspections of a unit that answer yes or no, and what an answer tells."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bench.acceptance.decision import Verdict
from bench.acceptance.fault_places import places
from bench.acceptance.result import StepResult
from bench.diagnosis.hypothesis import Hypothesis
from bench.job.expectation import Expectation

__all__ = [
    "LOOKS",
    "RIGHT",
    "Look",
    "LookProblem",
    "at_place",
    "is_there",
    "log_probability",
    "look_id",
    "look_step",
    "looked",
    "seen",
]

RIGHT = 0.95
"""How often the answer of a usual look is right: 19 times of 20 (common practice, no source)."""


class LookProblem(ValueError):
    """An answer that is none; the text says what was expected."""


@dataclass(frozen=True)
class Look:
    """What to look at, and the question whose yes speaks for the fault; `{place}` stands for the winding or screen.

    minutes of work;  low_volts, mains: whether anything is fed for it;  right: how often its answer is.
    """

    text: str
    minutes: float
    placed: bool = True
    low_volts: bool = False
    mains: bool = False
    right: float = RIGHT


LOOKS: dict[str, Look] = {
    "reading_wrong": Look(
        "at no volts, the leads on {place} put on anew, and its doubtful readings taken again: do they differ?", 3.0
    ),
    "supply_wrong": Look(
        "the supply from another outlet, its frequency, and its wave on a lamp's hum: is it not what the job says?",
        5.0, placed=False,
    ),
    "core_gap": Look(
        "unplugged: tap the laminations home and clamp; then the exciting current at half the volts again: has it "
        "fallen?",
        10.0, placed=False, mains=True,
    ),
    "core_stack_short": Look(
        "unplugged: the laminations that are left over, and the stack held against the one that came out: are any "
        "missing?",
        4.0, placed=False,
    ),
    # Burrs join laminations as well as bolts do, and no loosening tells them.
    "laminations_bridged": Look(
        "unplugged: the bolts drawn, or loosened; then the core's watts at half the volts again: have they fallen?",
        12.0, placed=False, mains=True, right=0.85,
    ),
    "joint_poor": Look(
        "unplugged: the clip on the wire of {place} itself, behind the joint, and the ohms again: are they fewer?", 4.0
    ),
    "wire_wrong": Look("unplugged: micrometer on the bare end of the wire of {place}: is it not the wire drawn?", 3.0),
    "strand_open": Look(
        "unplugged: each wire of the leads of {place} tugged and looked at under a glass: is one loose?", 4.0
    ),
    "strands_unequal": Look(
        "unplugged: part the wires in hand of {place} at one end; then a few volts on the primary: do any volts show "
        "between them?",
        10.0, low_volts=True,
    ),
    "screen_closed": Look("unplugged: lift the overlap of {place}: do its ends touch?", 8.0),
    "tap_misplaced": Look(
        "unplugged: the turns from the tap of {place} to its nearer end counted: are they not those drawn?", 15.0
    ),
}  # fmt: skip
"""By the fault that a yes speaks for."""


def look_id(fault: str, place: str = "") -> str:
    """As it is typed and kept: `look:core_gap`, `look:joint_poor:heater`."""
    return f"look:{fault}:{place}" if place else f"look:{fault}"


def look_step(name: str, answer: str, design: Expectation) -> StepResult:
    """What a look at FAULT or FAULT:PLACE gave, as a step: 1 for yes, 0 for no.

    Raises LookProblem.
    """
    fault, _, place = (part.strip() for part in name.partition(":"))
    if fault not in LOOKS:
        raise LookProblem(f"no look tells {fault!r}, expected one of {', '.join(LOOKS)}")
    known = _places(fault, design)
    if place and place not in known:
        expected = f"one of {', '.join(known)}" if known else f"look:{fault} alone"
        raise LookProblem(f"no look at {place!r} for {fault}, expected {expected}")
    if answer not in ("yes", "no"):
        raise LookProblem(f"{answer!r}, expected yes or no")
    label = f"look for {fault.replace('_', ' ')}" + (f" of {place}" if place else "")
    return StepResult(
        id=look_id(fault, place), label=label, quantity="look", winding=place, measured=float(answer == "yes"),
        state="good", unit="", verdict=Verdict.ACCEPTED, required=False, note=f"typed: {answer}",
    )  # fmt: skip


def _places(fault: str, design: Expectation) -> list[str]:
    if not LOOKS[fault].placed:
        return []
    if fault == "screen_closed":
        return list(design.screen_ohms)
    return list(dict.fromkeys(name for span in design.spans.values() for name in (span.winding, span.name)))


def seen(steps: Iterable[StepResult]) -> Iterator[tuple[str, str, bool]]:
    """Fault, place (empty: anywhere) and answer of each look among the steps."""
    for step in steps:
        if step.quantity == "look" and step.measured is not None:
            _, fault, *place = step.id.split(":", 2)
            yield fault, "".join(place), step.measured > 0.5


def at_place(place: str, where: str) -> bool:
    """Whether a fault at `place` is one at `where`: the winding, or a section of it; empty means anywhere."""
    return not where or place == where or place.startswith(f"{where}.")


def log_probability(hypothesis: Hypothesis, looks: Iterable[tuple[str, str, bool]]) -> float:
    """ln of the probability of all answers, each right as often as its look is; an unknown fault foretells none."""
    total = 0.0
    for fault, where, answer in looks:
        if hypothesis.fault == "unknown":
            total += math.log(0.5)
            continue
        there = is_there(hypothesis, fault, where)
        right = LOOKS[fault].right
        total += math.log(right if there is answer else 1 - right)
    return total


def looked(steps: Iterable[StepResult], fault: str, winding: str) -> tuple[list[str], list[str]]:
    """What looks at a fault at its place showed, in words: those that speak for it, and against it."""
    speaks: tuple[list[str], list[str]] = ([], [])
    hypothesis = Hypothesis(fault, winding)
    for step in steps:
        for name, where, answer in seen([step]):
            if is_there(hypothesis, name, where):
                speaks[0 if answer else 1].append(f"{step.label}: {'yes' if answer else 'no'}")
    return speaks


def is_there(hypothesis: Hypothesis, fault: str, where: str) -> bool:
    """Whether a hypothesis has the fault at that place, alone or beside another; empty means anywhere."""
    return any(name == fault and at_place(place, where) for name, place in places(hypothesis.fault, hypothesis.winding))
