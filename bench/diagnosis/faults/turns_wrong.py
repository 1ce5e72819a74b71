"""A winding has more or fewer turns than its design."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.acceptance.result import StepResult
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.turns_told import turns_told
from bench.job.expectation import Variant

NAME = "turns_wrong"
CHECK = "series sum against a winding of nearly the same turns, or a search coil as the reference"
REMEDY = (
    "outermost winding: take the surplus off or thread the missing turns through the window; inner one: "
    "decide by the volts whether it can stay"
)


def explains(winding: str, size: str) -> str:
    return f"{winding} has {size} against its design"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """Whole turns near what each winding reads; for the primary, what all secondaries agree on.

    A miscount may be anything from a turn to a twentieth of the winding, all sizes alike: what is close by takes only
    its share of the prior.
    """
    spans = case.design.spans
    for name, turns in dict.fromkeys((*_by_volts(case), *turns_told(case))):
        yield _of(name, turns, _share(spans[name].turns, len(spans)))


def _by_volts(case: Case) -> Iterator[tuple[str, int]]:
    """Winding or section, and turns off, by the volts with the primary fed."""
    design = case.design
    # The last reading of a winding's turns is the sharper one, at nominal.
    read = {
        one.winding: one
        for one in case.steps
        if one.quantity == "turns_by_ratio" and one.measured is not None and one.expected
    }
    for name, step in read.items():
        span = design.spans[name]
        for turns in _near(step.measured or 0.0, step.expected or 0.0, 1):
            if abs(turns) <= max(3, 0.1 * abs(span.turns)) and abs(span.turns) + turns > 0:
                yield name, turns
    shares = [_log_share(one) for one in read.values() if one.u > 0 and (one.measured or 0.0) > 0]
    if not shares:
        return
    weight = sum(1 / u**2 for _, u in shares)
    common = sum(share / u**2 for share, u in shares) / weight
    fed_turns = abs(design.fed_span.turns)
    for turns in _near(fed_turns * math.exp(-common), fed_turns, 3):
        if abs(turns) <= 0.1 * fed_turns:
            yield design.fed, turns


def _of(name: str, turns: int, share: float) -> Hypothesis:
    return Hypothesis(NAME, name, f"{turns:+d} turns", Variant(turns_added={name: turns}), share=share)


def _near(measured: float, expected: float, reach: int) -> list[int]:
    """Whole turns off, near what was read."""
    nearest = round(measured - expected)
    return [turns for turns in range(nearest - reach, nearest + reach + 1) if turns]


def _log_share(step: StepResult) -> tuple[float, float]:
    assert step.measured is not None
    assert step.expected is not None
    return math.log(step.measured / step.expected), step.u / step.measured


def _share(turns: float, places: int) -> float:
    """Share of the prior that one whole number of turns has, among all from one turn to 5 %, either way."""
    return 1 / (places * 2 * max(3.0, 0.05 * abs(turns)))
