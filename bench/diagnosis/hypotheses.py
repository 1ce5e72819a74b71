"""The faults that are weighed: each a change to the job's transformer, to its leads, or to the way it was read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.job.expectation import GOOD, Expectation, Variant
from bench.job.model import Job

__all__ = ["Hypothesis", "hypotheses"]

_CONTACTS = (0.0, 0.01, 0.02, 0.05, 0.1, 0.3)
_GAPS = (0.01e-3, 0.02e-3, 0.05e-3, 0.1e-3, 0.2e-3)
_STACKS = (0.97, 0.95, 0.9, 0.85)


@dataclass(frozen=True)
class Hypothesis:
    """A fault with its place and size; `variant` is how the unit then differs from its design.

    low_insulation, misread: names of what it concerns, where a variant can't say it;  other_side: of low insulation,
    where it is known.
    screen_share: of a turn's volts between the ends of the screen that it concerns;  share: of the fault's prior; None
    where all hypotheses of the fault share alike.
    """

    fault: str
    winding: str = ""
    size: str = ""
    variant: Variant = GOOD
    low_insulation: str = ""
    other_side: str = ""
    misread: str = ""
    screen_share: float = 1.0
    share: float | None = None


def hypotheses(job: Job, design: Expectation, steps: tuple[StepResult, ...]) -> list[Hypothesis]:
    """All hypotheses worth weighing for these readings; sizes of miscounts are taken from the readings."""
    found = [Hypothesis("none"), Hypothesis("unknown")]
    found.extend(_turns_wrong(design, steps))
    found.extend(_turns_shorted(job, design))
    for span in design.spans.values():
        if span.winding != design.fed:
            found.append(Hypothesis("winding_reversed", span.name, variant=Variant(reversed_spans=(span.name,))))
    simple = [w.name for w in job.winding if not w.taps and w.name != design.fed]
    for pair in itertools.combinations(simple, 2):
        found.append(Hypothesis("leads_swapped", " and ".join(pair), variant=Variant(swapped=pair)))
    for winding in job.winding:
        sections = [s.name for s in design.spans.values() if s.winding == winding.name and not s.whole]
        for name in sections or [winding.name]:
            found.append(Hypothesis("winding_open", name, variant=Variant(open_winding=name)))
        found.append(Hypothesis("insulation_low", winding.name, low_insulation=winding.name))
        found.append(Hypothesis("reading_wrong", winding.name, misread=winding.name))
    for screen in job.screen:
        found.append(Hypothesis("insulation_low", screen.name, low_insulation=screen.name))
        found.append(Hypothesis("screen_unearthed", screen.name))
    found.extend(_low_pairs(job, steps))
    for gap in _GAPS:
        found.append(Hypothesis("core_gap", size=f"{gap * 1e3:g} mm", variant=Variant(joint_added=gap)))
    for factor in _STACKS:
        size = f"{(1 - factor) * 100:.0f} %"
        found.append(Hypothesis("core_stack_short", size=size, variant=Variant(stack_factor=factor)))
    found.extend(_screen_closed(design, steps))
    found.append(Hypothesis("supply_wrong", misread="supply"))
    return found


def _low_pairs(job: Job, steps: tuple[StepResult, ...]) -> Iterator[Hypothesis]:
    """Pairs that were read by themselves and are low."""
    bodies = [winding.name for winding in job.winding] + [screen.name for screen in job.screen]
    for step in steps:
        if step.verdict is not Verdict.REJECTED:
            continue
        for one, other in itertools.product(bodies, [*bodies, "core"]):
            if step.id == f"insulation:{one}-{other}":
                yield Hypothesis("insulation_low", f"{one} to {other}", low_insulation=one, other_side=other)


def _turns_wrong(design: Expectation, steps: tuple[StepResult, ...]) -> Iterator[Hypothesis]:
    """Whole turns near what each winding reads; for the primary, what all secondaries agree on.

    A miscount may be anything from a turn to a twentieth of the winding, all sizes alike: what is close by takes only
    its share of the prior.
    """
    shares = []
    places = len(design.spans)
    sharp = {step.winding: step for step in steps if step.quantity == "turns_by_ratio"}
    for step in sharp.values():
        if step.measured is None or step.expected is None:
            continue
        added = step.measured - step.expected
        span = design.spans[step.winding]
        nearest = round(added)
        for turns in {nearest - 1, nearest, nearest + 1} - {0}:
            if abs(turns) <= max(3, 0.1 * abs(span.turns)) and abs(span.turns) + turns > 0:
                yield Hypothesis(
                    "turns_wrong",
                    span.name,
                    f"{turns:+d} turns",
                    Variant(turns_added={span.name: turns}),
                    share=_share_of_a_turn(span.turns, places),
                )
        if step.u > 0 and step.measured > 0:
            shares.append((math.log(step.measured / step.expected), step.u / step.measured))
    if not shares:
        return
    weight = sum(1 / u**2 for _, u in shares)
    common = sum(share / u**2 for share, u in shares) / weight
    fed_turns = abs(design.fed_span.turns)
    nearest = round(fed_turns * (math.exp(-common) - 1))
    for turns in {nearest - 2, nearest - 1, nearest, nearest + 1, nearest + 2} - {0}:
        if abs(turns) <= 0.1 * fed_turns:
            yield Hypothesis(
                "turns_wrong",
                design.fed,
                f"{turns:+d} turns",
                Variant(turns_added={design.fed: turns}),
                share=_share_of_a_turn(fed_turns, places),
            )


def _share_of_a_turn(turns: float, places: int) -> float:
    """Share of the prior that one whole number of turns has, among all from one turn to 5 %, either way."""
    return 1 / (places * 2 * max(3.0, 0.05 * abs(turns)))


def _turns_shorted(job: Job, design: Expectation) -> Iterator[Hypothesis]:
    """One turn of each winding closed by a contact."""
    for winding in job.winding:
        span = design.spans[winding.name]
        if span.resistance is None or not math.isfinite(span.resistance) or not winding.turns:
            continue
        # One strand is bared and touches itself: one turn of one wire in hand.
        turn = span.resistance * winding.strands / winding.turns
        for contact in _CONTACTS:
            yield Hypothesis(
                "turns_shorted",
                winding.name,
                f"one turn closed by {contact:g} ohm",
                Variant(loop_conductance=1 / (turn + contact)),
            )


def _screen_closed(design: Expectation, steps: tuple[StepResult, ...]) -> Iterator[Hypothesis]:
    """Closed by contacts of some sizes, and by the one that the volts between its ends tell."""
    for name, foil in design.screen_ohms.items():
        told = [
            foil * step.measured / (1 - step.measured)
            for step in steps
            if step.quantity == "screen_volts" and step.winding == name and step.verdict is Verdict.REJECTED
            if step.measured is not None and 0 < step.measured < 1
        ]
        for contact in (0.0, 0.003, *_CONTACTS[1:], *told):
            yield Hypothesis(
                "screen_closed",
                name,
                f"closed by {contact:.2g} ohm",
                Variant(loop_conductance=1 / (foil + contact)),
                screen_share=contact / (foil + contact),
            )
