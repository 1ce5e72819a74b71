"""The measurements that may still be taken on a unit: what each would show, what it costs, how it is given back."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from bench.diagnosis.allowances import U_STACK, U_TURNS
from bench.diagnosis.flux import backfed_share, flux_share
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.looks import LOOKS, at_place, is_there, look_id, seen
from bench.job.expectation import Expectation, Span

__all__ = ["Further", "advisable"]

_POINTS = 400
# What a hand near low volts, and near mains, is worth in minutes of work: an unplugged unit comes first.
_LOW_VOLTS, _MAINS = 2.0, 12.0
# Turns of hook-up wire that go through most windows; common practice, no source.
_SEARCH_TURNS = 10
# Relative u of a ratio of two volts by a usual hand-held meter, where no step tells this one's: from memory.
_USUAL_RATIO = 0.003
# Two outcomes that are surely apart, in units of their doubt.
_APART = 2.0

Outcome = Callable[[Hypothesis, Expectation], float | None]


@dataclass(frozen=True)
class Further:
    """One measurement that was not taken.

    id: as the step that its answer becomes;  text: what to do, in words;  outcome: what it shows under a hypothesis, in
    units of its own doubt u, None where it says nothing; of a yes or no, 1 or 0;  minutes of work;  risk: of hands on
    the unit, as minutes;  answers: what is typed to give it back;  right: of a yes or no, how often it is right.
    """

    id: str
    text: str
    outcome: Outcome
    minutes: float
    risk: float = 0.0
    answers: tuple[str, ...] = ()
    right: float | None = None

    def bits(self, means: np.ndarray, shares: np.ndarray) -> float:
        """Mutual information of hypothesis and outcome;  means (n,): the outcomes, shares (n,): their probabilities."""
        if len(means) < 2:
            return 0.0
        shares = shares / shares.sum()
        return _of_number(means, shares) if self.right is None else _of_answer(means, shares, self.right)

    def tells_apart(self, here: float, there: float) -> bool:
        """Whether two outcomes are not easily taken for each other."""
        return abs(here - there) > (_APART if self.right is None else 0.5)


def _of_number(means: np.ndarray, shares: np.ndarray) -> float:
    """Entropy of the mixture of unit Gaussians less that of one."""
    means = np.clip(means - np.median(means), -40.0, 40.0)
    x = np.linspace(means.min() - 5.0, means.max() + 5.0, _POINTS)
    density = np.exp(-0.5 * (x[:, None] - means) ** 2) @ shares / math.sqrt(2 * math.pi)
    safe = np.maximum(density, 1e-300)
    entropy = -float(np.sum(density * np.log2(safe))) * float(x[1] - x[0])
    return max(0.0, entropy - 0.5 * math.log2(2 * math.pi * math.e))


def _of_answer(means: np.ndarray, shares: np.ndarray, right: float) -> float:
    """Of a yes or no that is right so often: entropy of the answer less that of its being wrong."""
    yes = float(shares @ np.where(means > 0.5, right, 1 - right))
    return max(0.0, _entropy(yes) - _entropy(right))


def _entropy(share: float) -> float:
    return -sum(part * math.log2(part) for part in (share, 1 - share) if part > 0)


def advisable(case: Case, likely: Iterable[Hypothesis]) -> list[Further]:
    """All measurements whose answer is not there yet;  likely: the hypotheses whose places are worth a look."""
    done = {step.id.partition(":")[0] for step in case.steps if step.measured is not None}
    design = case.design
    found = list(_looks(case, likely))
    if "search" not in done:
        found.append(_search(case))
    if "stack_height" not in done and design.stack is not None:
        found.append(
            Further(
                "stack_height", "unplugged: height of the stack by a rule", _stack, 2.0, answers=("stack='… mm'",)
            )
        )  # fmt: skip
    if design.curve is not None and not done & {"core_watts", "low_watts"}:
        volts = 0.6 * design.voltage
        found.append(
            Further(
                f"core_watts:{volts:g}",
                "core watts at 60 % of nominal, by a wattmeter or three voltages across a resistor in series",
                _watts, 6.0, _MAINS, (f"watts='… W@{volts:.3g} V'",),
            )
        )  # fmt: skip
    pair = None if "backfed" in done else _back_fed_pair(case)
    if pair is not None:
        found.append(_back_fed(case, *pair))
    return found


def _looks(case: Case, likely: Iterable[Hypothesis]) -> Iterable[Further]:
    given = [(fault, where) for fault, where, _ in seen(case.steps)]
    wanted = dict.fromkeys((one.fault, one.winding) for one in likely if one.fault in LOOKS)
    for fault, place in wanted:
        if any(fault == other and at_place(place, where) for other, where in given):
            continue
        look = LOOKS[fault]
        name = look_id(fault, place)
        risk = _MAINS if look.mains else _LOW_VOLTS if look.low_volts else 0.0
        text = look.text.format(place=place)
        answers = (f"{name}=yes", f"{name}=no")
        yield Further(name, text, _yes(fault, place), look.minutes, risk, answers, look.right)


def _yes(fault: str, place: str) -> Outcome:
    """What only this fault at this place shows; of an unknown fault it tells nothing."""

    def outcome(hypothesis: Hypothesis, model: Expectation) -> float | None:
        if hypothesis.fault == "unknown":
            return None
        return float(is_there(hypothesis, fault, place))

    return outcome


def _search(case: Case) -> Further:
    """Volts of a coil whose turns are known: they tell the primary's turns alone."""
    design, doubt = case.design, _ratio_doubt(case, "ratio:", _SEARCH_TURNS)
    volts = max((step.at_volts or 0.0 for step in case.steps if step.id.startswith("ratio:")), default=0.0)
    volts = volts or 0.05 * design.voltage

    def outcome(hypothesis: Hypothesis, model: Expectation) -> float | None:
        if not math.isfinite(model.fed_span.resistance or 0.0):
            return None
        return math.log(flux_share(hypothesis, model, design, volts)) / doubt

    name = f"search:{_SEARCH_TURNS}"
    return Further(
        name,
        f"unplugged: {_SEARCH_TURNS} turns of insulated hook-up wire round the coil, through both windows, as a search "
        f"coil; then its volts beside the primary's, {volts:.2g} V or so on the primary from a source of low volts",
        outcome, 6.0, _LOW_VOLTS, (f"{name}='… V@… V'",),
    )  # fmt: skip


def _back_fed_pair(case: Case) -> tuple[Span, str] | None:
    """The span that the primary is compared with, nearest to its turns, and a third winding that may be fed."""
    design = case.design
    fed = design.fed_span
    others = [one.name for one in case.job.winding if one.name != design.fed]
    spans = [one for one in design.spans.values() if one.winding != design.fed and one.turns]
    if len(others) < 2 or not spans:
        return None
    nearest = min(spans, key=lambda one: (abs(math.log(abs(one.turns / fed.turns))), not one.whole))
    return nearest, min(others, key=lambda name: (name == nearest.winding, abs(design.spans[name].turns)))


def _back_fed(case: Case, span: Span, third: str) -> Further:
    """A shorted turn of the primary is missing there: one in all its turns; and no drop of its own is in its volts."""
    design, doubt = case.design, _ratio_doubt(case, "turns:", abs(span.turns))

    def outcome(hypothesis: Hypothesis, model: Expectation) -> float | None:
        if any(not math.isfinite(model.spans[name].resistance or 0.0) for name in (model.fed, span.name)):
            return None
        return math.log(backfed_share(hypothesis, model, design, design.fed, span.name)) / doubt

    def volts(name: str) -> float:
        return design.voltage * abs(design.ratio(name))

    most = max(volts(name) for name in design.spans)
    name = f"backfed:{design.fed}-{span.name}"
    return Further(
        name,
        f"unplugged: the mains off the primary, {third} joined to a source of its nominal {volts(third):.3g} V through "
        f"the lamp, every other lead insulated; then the volts of {design.fed} and of {span.name} at the same moment, "
        f"nothing else joined to them. DANGER: the open leads of {design.fed} then carry {design.voltage:.0f} V and "
        f"others up to {most:.0f} V: clip the meter on before it is plugged in, no hand near before it is unplugged",
        outcome, 8.0, _MAINS, (f"{name}='… V@… V'",),
    )  # fmt: skip


def _ratio_doubt(case: Case, steps: str, turns: float) -> float:
    """Relative u of a ratio of two volts as the test's own meter tells it: of the winding nearest to so many turns."""
    told = [
        one
        for one in case.steps
        if one.quantity == "turns_by_ratio" and one.measured is not None and one.measured > 0 and one.u > 0
    ]
    told = [one for one in told if one.id.startswith(steps)] or told
    if not told:
        return _USUAL_RATIO
    nearest = min(told, key=lambda one: abs(math.log((one.expected or one.measured or 1.0) / turns)))
    return math.hypot(nearest.u / (nearest.measured or 1.0), U_TURNS)


def _stack(hypothesis: Hypothesis, model: Expectation) -> float | None:
    return None if model.stack is None else math.log(model.stack) / (U_STACK / model.stack)


def _watts(hypothesis: Hypothesis, model: Expectation) -> float | None:
    if model.curve is None:
        return None
    return math.log(model.curve.watts_at(0.6 * model.voltage)) / 0.10
