"""Which slip explains that counts and volts disagree: a miscount, a half turn, the reference, or one reading."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from bench.survey.network import NO_SLIP, Network, Posterior, Slip

__all__ = ["Explanation", "SlipKind", "explanations"]

_MOST_MISCOUNT = 10
"""Whole turns up to which a miscount is looked for one by one; more is a count that was lost."""


class SlipKind(StrEnum):
    NONE = "none"
    MISCOUNT = "miscount"
    HALF_TURN = "half turn"
    LOST_COUNT = "lost count"
    REFERENCE = "reference"
    READING = "reading"


@dataclass(frozen=True)
class Explanation:
    """One way in which everything would fit.

    winding: whose count or reading, or the fed one for the reference;  size: turns counted too many (too few where
    negative), or the fraction by which the reading or the reference is too high;  posterior: the turns that follow.
    """

    kind: SlipKind
    winding: str
    size: float
    u_size: float
    probability: float
    posterior: Posterior
    observation: int | None = None


def explanations(network: Network, priors: dict[str, Any]) -> list[Explanation]:
    """All explanations with their probabilities, most likely first, the same kind and winding taken together.

    priors: the table of profiles/limits/survey.  The probability is that of the slip given all readings and counts,
    each hypothesis weighed with the marginal likelihood of the network under it.
    """
    found: list[tuple[float, Explanation]] = []
    for kind, winding, weight, slip, turns, observation in _hypotheses(network, priors):
        posterior = network.solve(slip)
        size, u = turns, 0.0
        if slip.direction:
            size, u = posterior.size, posterior.u_size
        found.append(
            (
                math.log(weight) + posterior.log_evidence,
                Explanation(kind, winding, size, u, 0.0, posterior, observation),
            )
        )
    top = max(log for log, _ in found)
    weights = [math.exp(log - top) for log, _ in found]
    total = sum(weights)
    together: dict[tuple[SlipKind, str], Explanation] = {}
    for (_, one), weight in sorted(zip(found, weights, strict=True), key=lambda pair: -pair[1]):
        key = (one.kind, one.winding)
        held = together.get(key)
        share = weight / total
        # The likeliest size stands for all sizes of the same slip.
        together[key] = _with(one, share) if held is None else _with(held, held.probability + share)
    return sorted(together.values(), key=lambda one: -one.probability)


def _with(one: Explanation, probability: float) -> Explanation:
    return Explanation(one.kind, one.winding, one.size, one.u_size, probability, one.posterior, one.observation)


def _hypotheses(
    network: Network, priors: dict[str, Any]
) -> Iterator[tuple[SlipKind, str, float, Slip, float, int | None]]:
    """(kind, winding, prior weight, slip, turns counted too many, observation)."""
    yield SlipKind.NONE, "", priors["none"], NO_SLIP, 0.0, None
    counts = [n for n, one in enumerate(network.observations) if one.kind == "count" and _is_counted(one.parts)]
    readings = [n for n, one in enumerate(network.observations) if one.kind != "count"]
    norm = 2 * sum(1 / n**2 for n in range(1, _MOST_MISCOUNT + 1))
    for number in counts:
        one = network.observations[number]
        counted = math.exp(one.y)
        share = 1 / len(counts)
        for turns in range(1, _MOST_MISCOUNT + 1):
            for sign in (1, -1):
                if counted - sign * turns < 1:
                    continue
                yield (
                    SlipKind.MISCOUNT,
                    one.winding,
                    priors["miscount"] * share / turns**2 / norm,
                    Slip(shift={number: math.log(counted / (counted - sign * turns))}),
                    float(sign * turns),
                    number,
                )
        for half in (0.5, -0.5):
            yield (
                SlipKind.HALF_TURN,
                one.winding,
                priors["half_turn"] * share / 2,
                Slip(shift={number: math.log(counted / (counted - half))}),
                half,
                number,
            )
        lost = Slip(direction={number: 1.0}, spread=priors["slip"])
        yield SlipKind.LOST_COUNT, one.winding, priors["lost_count"] * share, lost, 0.0, number
    fed = {network.observations[n].fed for n in readings} - {""}
    for name in sorted(fed):
        against = {n: -1.0 for n in readings if network.observations[n].fed == name}
        if len(against) > 1:
            slip = Slip(direction=against, spread=priors["slip"])
            yield SlipKind.REFERENCE, name, priors["reference"] / len(fed), slip, 0.0, None
    for number in readings:
        slip = Slip(direction={number: 1.0}, spread=priors["slip"])
        yield (
            SlipKind.READING,
            network.observations[number].winding,
            priors["reading"] / len(readings),
            slip,
            0.0,
            number,
        )


def _is_counted(parts: dict[str, float]) -> bool:
    """Whether somebody counted: the turns of one's own search coil are beyond doubt."""
    return any(part > 0 for part in parts.values())
