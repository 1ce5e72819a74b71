"""Which slip explains that counts and volts disagree: a miscount, a half turn, the reference, or one reading."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from bench.survey.interval import Interval
from bench.survey.network import NO_SLIP, Network, Observation, Posterior, Slip

__all__ = ["Explanation", "SlipKind", "explanations", "same_signature", "turns_under_all"]

_MOST_MISCOUNT = 10
"""Whole turns up to which a miscount is looked for one by one; more is a count that was lost."""


class SlipKind(StrEnum):
    NONE = "none"
    MISCOUNT = "miscount"
    HALF_TURN = "half turn"
    LOST_COUNT = "lost count"
    TAP = "tap"
    REFERENCE = "reference"
    READING = "reading"
    CURRENT_RATIO = "current ratio"


@dataclass(frozen=True)
class Explanation:
    """One way in which everything would fit.

    winding: whose count or reading, or the fed one for the reference;  size: turns counted too many (too few where
    negative), or the fraction by which the reading or the reference is too high;  u_size: its standard uncertainty, 0
    where the size is one of a few;  posterior: the turns that follow.
    """

    kind: SlipKind
    winding: str
    size: float
    u_size: float
    probability: float
    posterior: Posterior

    @property
    def of_a_count(self) -> bool:
        return self.kind in (SlipKind.MISCOUNT, SlipKind.HALF_TURN, SlipKind.LOST_COUNT)


@dataclass(frozen=True)
class _Hypothesis:
    """prior: its weight;  turns: counted too many, where the slip has that size;  counted: turns as counted, where the
    slip is of a count of unknown size."""

    kind: SlipKind
    winding: str
    prior: float
    slip: Slip
    turns: float = 0.0
    counted: float | None = None

    def size_of(self, posterior: Posterior) -> tuple[float, float]:
        """Size and u in the words of an Explanation: what was estimated is a logarithm."""
        if not self.slip.direction:
            return self.turns, 0.0
        if self.counted is not None:  # counted = true x e^size
            return self.counted * -math.expm1(-posterior.size), self.counted * math.exp(
                -posterior.size
            ) * posterior.u_size
        return math.expm1(posterior.size), math.exp(posterior.size) * posterior.u_size


def explanations(network: Network, priors: dict[str, Any]) -> list[Explanation]:
    """All explanations with their probabilities, most likely first, the same kind and winding taken together.

    priors: the table of profiles/limits/survey.  The probability is that of the slip given all readings and counts,
    each hypothesis weighed with the marginal likelihood of the network under it.  One slip at a time: whether the
    likeliest leaves readings that still don't fit, its posterior's `fit_probability` tells.
    """
    solved = [(one, network.solve(one.slip)) for one in _hypotheses(network, priors)]
    logs = [math.log(one.prior) + posterior.log_evidence for one, posterior in solved]
    top = max(logs)
    weights = [math.exp(log - top) for log in logs]
    total = sum(weights)
    together: dict[tuple[SlipKind, str], Explanation] = {}
    for (one, posterior), weight in sorted(zip(solved, weights, strict=True), key=lambda pair: -pair[1]):
        key, share = (one.kind, one.winding), weight / total
        held = together.get(key)
        if held is None:
            size, u = one.size_of(posterior)
            together[key] = Explanation(one.kind, one.winding, size, u, share, posterior)
        else:  # the likeliest size stands for all sizes of the same slip
            together[key] = replace(held, probability=held.probability + share)
    return sorted(together.values(), key=lambda one: -one.probability)


def same_signature(found: Sequence[Explanation], fed: set[str]) -> list[Explanation]:
    """The explanations that no reading can tell from the likeliest: a wrong reference, and a wrong count of the winding
    that all volts were read against."""
    if not found:
        return []
    top = found[0]
    if top.winding not in fed or not (top.kind is SlipKind.REFERENCE or top.of_a_count):
        return [top]
    return [one for one in found if one.winding == top.winding and (one.kind is SlipKind.REFERENCE or one.of_a_count)]


def turns_under_all(found: Sequence[Explanation], winding: str, fed: set[str]) -> Interval | None:
    """Turns of a winding with all explanations weighed, once a slip is likelier than none, so that what is not known of
    it is in the interval.

    Explanations that no reading can tell apart are given equal weights by class (the count, or the reference): which of
    the two is likelier is only a prior, and the answer must hold under both.
    """
    if not found or winding not in found[0].posterior.windings:
        return None
    if found[0].kind is SlipKind.NONE:  # no sign of a slip: the interval is that of counts and readings
        posterior = found[0].posterior
        return Interval(posterior.turns(winding), posterior.turns(winding) * posterior.u_log(winding))
    alike = same_signature(found, fed)
    classes = {one.kind is SlipKind.REFERENCE for one in alike}
    whole = sum(one.probability for one in alike)
    weighed: list[tuple[float, Explanation]] = [
        (one.probability, one) for one in found if not any(one is other for other in alike)
    ]
    for is_reference in classes:
        members = [one for one in alike if (one.kind is SlipKind.REFERENCE) is is_reference]
        own = sum(one.probability for one in members)
        weighed += [(whole / len(classes) * one.probability / own, one) for one in members if own > 0]
    total = sum(weight for weight, _ in weighed)
    at = found[0].posterior.windings.index(winding)
    mean = sum(weight * float(one.posterior.mean[at]) for weight, one in weighed) / total
    variance = sum(
        weight * (float(one.posterior.covariance[at, at]) + (float(one.posterior.mean[at]) - mean) ** 2)
        for weight, one in weighed
    )
    return Interval.from_log(mean, math.sqrt(max(0.0, variance / total)))


def _hypotheses(network: Network, priors: dict[str, Any]) -> Iterator[_Hypothesis]:
    yield _Hypothesis(SlipKind.NONE, "", priors["none"], NO_SLIP)
    observed = list(enumerate(network.observations))
    counts = [(n, one) for n, one in observed if one.kind == "count" and _is_doubted(one)]
    for number, one in counts:
        yield from _of_a_count(number, one, 1 / len(counts), priors)
    yield from _of_taps(counts, priors)
    readings = [(n, one) for n, one in observed if one.kind in ("volts", "amps")]
    fed = {one.fed for _, one in readings} - {""}
    for name in sorted(fed):
        against = {n: -1.0 for n, one in readings if one.fed == name}
        if len(against) > 1:
            slip = Slip(direction=against, spread=priors["slip"])
            yield _Hypothesis(SlipKind.REFERENCE, name, priors["reference"] / len(fed), slip)
    for number, one in readings:
        kind = SlipKind.READING if one.kind == "volts" else SlipKind.CURRENT_RATIO
        slip = Slip(direction={number: 1.0}, spread=priors["slip"])
        yield _Hypothesis(kind, one.winding, priors["reading"] / len(readings), slip)
        for factor in (10.0, 0.1):
            decimal = Slip(shift={number: math.log(factor)})
            yield _Hypothesis(kind, one.winding, priors["decimal"] / len(readings) / 2, decimal, factor - 1)


def _of_a_count(number: int, one: Observation, share: float, priors: dict[str, Any]) -> Iterator[_Hypothesis]:
    counted = math.exp(one.y)
    norm = 2 * sum(1 / n**2 for n in range(1, _MOST_MISCOUNT + 1))
    for turns in (sign * n for n in range(1, _MOST_MISCOUNT + 1) for sign in (1, -1)):
        if counted - turns >= 1:
            weight = priors["miscount"] * share / turns**2 / norm
            slip = Slip(shift={number: math.log(counted / (counted - turns))})
            yield _Hypothesis(SlipKind.MISCOUNT, one.winding, weight, slip, turns)
    for half in (0.5, -0.5):
        if counted - half >= 0.5:
            slip = Slip(shift={number: math.log(counted / (counted - half))})
            yield _Hypothesis(SlipKind.HALF_TURN, one.winding, priors["half_turn"] * share / 2, slip, half)
    lost = Slip(direction={number: 1.0}, spread=priors["slip"])
    yield _Hypothesis(SlipKind.LOST_COUNT, one.winding, priors["lost_count"] * share, lost, counted=counted)


def _of_taps(counts: Sequence[tuple[int, Observation]], priors: dict[str, Any]) -> Iterator[_Hypothesis]:
    """The whole was counted right and the tap's turn was not: what one section has too many the next has too few."""
    pairs = [
        (one, other)
        for one, other in itertools.pairwise(counts)
        if "." in one[1].winding and one[1].winding.partition(".")[0] == other[1].winding.partition(".")[0]
    ]
    for (first, before), (second, after) in pairs:
        a, b = math.exp(before.y), math.exp(after.y)
        norm = 2 * sum(1 / n**2 for n in range(1, _MOST_MISCOUNT + 1))
        for turns in (sign * n for n in range(1, _MOST_MISCOUNT + 1) for sign in (1, -1)):
            if a - turns >= 1 and b + turns >= 1:
                slip = Slip(shift={first: math.log(a / (a - turns)), second: math.log(b / (b + turns))})
                weight = priors["miscount"] / len(counts) / turns**2 / norm
                yield _Hypothesis(SlipKind.TAP, before.winding, weight, slip, turns)


def _is_doubted(one: Observation) -> bool:
    """Whether somebody counted: the turns of one's own search coil are beyond doubt."""
    return any(part > 0 for part in one.parts.values())
