"""Further measurements: which one would tell most, for what it costs in minutes and in risk."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Expectation, Variant

__all__ = ["Further", "Worth", "most_worth"]

_POINTS = 400
_LEAST_BITS = 0.02
# What a hand near low volts, and near mains, is worth in minutes of work: an unplugged unit comes first.
_LOW_VOLTS, _MAINS = 2.0, 12.0

Outcome = Callable[[Hypothesis, Expectation], float | None]


@dataclass(frozen=True)
class Further:
    """One measurement that was not taken.

    text: what to do, in words;  outcome: what it shows under a hypothesis, in units of its own doubt u, None where it
    says nothing;  minutes of work;  risk: of hands on the unit, as minutes.
    """

    text: str
    outcome: Outcome
    minutes: float
    risk: float = 0.0


@dataclass(frozen=True)
class Worth:
    """A measurement with what it is expected to tell, in bits."""

    further: Further
    bits: float

    @property
    def per_cost(self) -> float:
        return self.bits / (self.further.minutes + self.further.risk)


def most_worth(
    case: Case,
    weighed: Sequence[tuple[Hypothesis, float]],
    forward: Callable[[Variant], Expectation],
) -> list[Worth]:
    """All measurements that would tell anything, the best for its cost first."""
    likely = [(one, probability) for one, probability in weighed if probability > 1e-4]
    models = [forward(one.variant) for one, _ in likely]
    shares = np.array([probability for _, probability in likely])
    found = []
    for further in _furthers(case):
        means = [further.outcome(one, model) for (one, _), model in zip(likely, models, strict=True)]
        known = np.array([mean is not None for mean in means])
        bits = _bits(np.array([mean or 0.0 for mean in means])[known], shares[known]) * float(shares[known].sum())
        if bits > _LEAST_BITS:
            found.append(Worth(further, bits))
    return sorted(found, key=lambda one: -one.per_cost)


def _bits(means: np.ndarray, shares: np.ndarray) -> float:
    """Mutual information of hypothesis and outcome: entropy of the mixture of unit Gaussians less that of one."""
    if len(means) < 2:
        return 0.0
    shares = shares / shares.sum()
    means = np.clip(means - np.median(means), -40.0, 40.0)
    x = np.linspace(means.min() - 5.0, means.max() + 5.0, _POINTS)
    density = np.exp(-0.5 * (x[:, None] - means) ** 2) @ shares / math.sqrt(2 * math.pi)
    safe = np.maximum(density, 1e-300)
    entropy = -float(np.sum(density * np.log2(safe))) * float(x[1] - x[0])
    return max(0.0, entropy - 0.5 * math.log2(2 * math.pi * math.e))


def _yes(*faults: str) -> Outcome:
    """Something that only these faults show, and that is hardly mistaken; nothing is told of a wrong reading."""

    def outcome(hypothesis: Hypothesis, model: Expectation) -> float | None:
        named = set(hypothesis.fault.split("+"))
        if "unknown" in named:
            return None
        return 6.0 if named & set(faults) else 0.0

    return outcome


def _furthers(case: Case) -> list[Further]:
    done = {step.id.partition(":")[0] for step in case.steps if step.measured is not None}
    design = case.design
    found = [
        Further("put the leads on anew and take the doubtful readings again", _yes("reading_wrong"), 3.0),
        Further(
            "the supply from another outlet: its frequency, and its wave on a lamp's hum", _yes("supply_wrong"), 5.0
        ),
        Further(
            "unplugged: tap the laminations home and clamp; then the exciting current at half the volts again",
            _yes("core_gap"), 10.0, _MAINS,
        ),
        Further("unplugged: the clip on the wire, behind the joint, and the ohms again", _yes("joint_poor"), 4.0),
        Further("micrometer on the bare end of the lead's wire", _yes("wire_wrong"), 3.0),
        Further("unplugged: each wire of the lead tugged and looked at under a glass", _yes("strand_open"), 4.0),
        Further(
            "unplugged: a few turns of hook-up wire round the coil as a search coil; then its volts beside the "
            "primary's, from a source of low volts",
            _search_coil(design), 6.0, _LOW_VOLTS,
        ),
    ]  # fmt: skip
    if any(winding.strands > 1 for winding in case.job.winding):
        found.append(
            Further(
                "unplugged: part the wires in hand at one end; then a few volts on the primary must show nothing "
                "between them",
                _yes("strands_unequal"), 10.0, _LOW_VOLTS,
            )
        )  # fmt: skip
    if case.job.screen:
        found.append(
            Further("unplugged: lift the screen's overlap, and look whether its ends touch", _yes("screen_closed"), 8.0)
        )
    if any(winding.taps for winding in case.job.winding):
        found.append(Further("the tap's turns counted from its nearer end", _yes("tap_misplaced"), 15.0))
    if "stack_height" not in done and design.stack is not None:
        found.append(Further("unplugged: height of the stack by a rule", _stack, 2.0))
    if design.curve is not None and not done & {"core_watts", "low_watts"}:
        found.append(
            Further(
                "core watts at 60 % of nominal, by a wattmeter or three voltages across a resistor in series",
                _watts, 6.0, _MAINS,
            )
        )  # fmt: skip
    found.append(
        Further(
            "fed back from a secondary at its nominal volts through the lamp, two unloaded windings compared: a "
            "shorted turn of the primary is missing there. DANGER: the primary's open leads then carry its full "
            "volts; insulate them, and no hand near before it is unplugged",
            _back_fed, 8.0, _MAINS,
        )
    )  # fmt: skip
    return found


def _search_coil(design: Expectation) -> Outcome:
    """Volts a turn against the primary's: they tell the primary's turns alone, to about 0.3 %."""

    def outcome(hypothesis: Hypothesis, model: Expectation) -> float:
        return math.log(abs(model.fed_span.turns / design.fed_span.turns)) / 0.003

    return outcome


def _stack(hypothesis: Hypothesis, model: Expectation) -> float | None:
    return None if model.stack is None else math.log(model.stack) / (0.6e-3 / model.stack)


def _watts(hypothesis: Hypothesis, model: Expectation) -> float | None:
    if model.curve is None:
        return None
    volts = 0.6 * model.voltage
    return math.log(model.curve.watts_at(volts)) / 0.10


def _back_fed(hypothesis: Hypothesis, model: Expectation) -> float:
    """The primary short of the turn that is closed: one in all its turns, against 0.1 % of a ratio."""
    if "turns_shorted" not in hypothesis.fault or hypothesis.winding != model.fed:
        return 0.0
    return 1 / abs(model.fed_span.turns) / 0.001
