"""A winding has more or fewer turns than its design."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.acceptance.result import StepResult
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.pairs import pair_of
from bench.diagnosis.turns_told import turns_told
from bench.job.expectation import Variant

NAME = "turns_wrong"
CHECK = "series sum against a winding of nearly the same turns, or a search coil as the reference"
# Standard uncertainties of a reading within which a number of turns is still weighed, and how many numbers at most.
_DOUBTS = 3.0
_AT_MOST = 12
# Of a winding's turns: a layer or two that were skipped or wound twice.
_MOST_OFF = 0.3
REMEDY = (
    "unplugged and discharged: outermost winding: take the surplus off or thread the missing turns through the window; "
    "inner one: decide by the volts whether it can stay"
)


def explains(winding: str, size: str) -> str:
    """size: `-2 turns`, or what stands for it."""
    count, _, unit = size.partition(" ")
    if not count.lstrip("+-").isdecimal():
        return f"{winding} has {size} against its design"
    many = abs(int(count))
    return f"{winding} has {many} {unit if many != 1 else 'turn'} too {'few' if count.startswith('-') else 'many'}"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """Whole turns near what each winding reads; for the primary, what all secondaries agree on.

    A miscount may be anything from a turn to a twentieth of the winding, all sizes alike: what is close by takes only
    its share of the prior.
    """
    spans = case.design.spans
    found = {(name, turns): for_many for name, turns, for_many in _by_volts(case)}
    for name, turns in turns_told(case):
        found.setdefault((name, turns), 1)
    for (name, turns), for_many in found.items():
        yield _of(name, turns, _share(spans[name].turns, len(spans)) * for_many)


def _by_volts(case: Case) -> Iterator[tuple[str, int, int]]:
    """Winding or section, turns off by the volts with the primary fed, and for how many numbers of turns it stands."""
    design = case.design
    # The last reading of a winding's turns is the sharper one, at nominal.
    read = {
        one.winding: one
        for one in case.steps
        if one.quantity == "turns_by_ratio" and one.measured is not None and one.expected
    }
    series = _by_series(case)
    for name, step in read.items():
        span = design.spans[name]
        by_itself = (step.measured or 0.0) - (step.expected or 0.0), step.u
        candidates = _by_all(case, name, by_itself, 1) | dict.fromkeys(series.get(name, ()), 1)
        for turns, for_many in candidates.items():
            if abs(turns) <= max(3, _MOST_OFF * abs(span.turns)) and abs(span.turns) + turns > 0:
                yield name, turns, for_many
    shares = [_log_share(one) for one in read.values() if one.u > 0 and (one.measured or 0.0) > 0]
    if not shares:
        return
    weight = sum(1 / u**2 for _, u in shares)
    common = sum(share / u**2 for share, u in shares) / weight
    fed_turns = abs(design.fed_span.turns)
    by_volts = fed_turns * math.expm1(-common), fed_turns * min(u for _, u in shares)
    for turns, for_many in _by_all(case, design.fed, by_volts, 3).items():
        if abs(turns) <= _MOST_OFF * fed_turns:
            yield design.fed, turns, for_many


def _by_all(case: Case, name: str, by_itself: tuple[float, float], reach: int) -> dict[int, int]:
    """Whole turns off near what all readings together tell, if this winding alone is off; and, where that is another,
    near what its own reading says: another may be off beside it.

    Together they know the gain of the range that each alone leaves in doubt: a number of turns between those that one
    reading could tell apart may be the only one that fits them all.
    """
    own = _near(*by_itself, reach)
    told = case.turns_off(name)
    if told is None:
        return own
    found = _near(*told, reach)
    low, high = min(found, default=0), max(found, default=0)
    return found | {turns: many for turns, many in own.items() if not low <= turns <= high}


def _of(name: str, turns: int, share: float) -> Hypothesis:
    return Hypothesis(NAME, name, f"{turns:+d} turns", Variant(turns_added={name: turns}), share=share)


def _near(away: float, u: float, reach: int) -> dict[int, int]:
    """Whole turns off, near what was read, and for how many each stands where the reading leaves many open."""
    half = max(float(reach), _DOUBTS * u)
    step = max(1, math.ceil(2 * half / _AT_MOST))
    middle = round(away)
    found = {middle + step * place for place in range(-math.ceil(half / step), math.ceil(half / step) + 1)}
    return {turns: step for turns in sorted(found) if turns}


def _by_series(case: Case) -> dict[str, set[int]]:
    """Whole turns off that a sum or a difference of two windings tells of either; it is far sharper than volts."""
    found: dict[str, set[int]] = {}
    for step in case.steps:
        kind, _, pair = step.id.partition(":")
        two = pair_of(pair, case.design.spans)
        if two is None or kind not in ("sum", "bucking", "parallel") or step.measured is None or step.expected is None:
            continue
        away = round(step.measured - step.expected)
        for name in two:
            found.setdefault(name, set()).update({away, -away} - {0})
    return found


def _log_share(step: StepResult) -> tuple[float, float]:
    assert step.measured is not None
    assert step.expected is not None
    return math.log(step.measured / step.expected), step.u / step.measured


def _share(turns: float, places: int) -> float:
    """Share of the prior that one whole number of turns has, among all from one turn to 5 %, either way."""
    return 1 / (places * 2 * max(3.0, 0.05 * abs(turns)))
