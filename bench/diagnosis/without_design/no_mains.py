"""When mains must not go on a unit without a design, and how its findings are settled then."""

from __future__ import annotations

from bench.acceptance.result import DANGEROUS, DANGEROUS_PROBABILITY
from bench.diagnosis.without_design.evidence import Compared
from bench.diagnosis.without_design.readings import What
from bench.diagnosis.without_design.weighing import Weighed

__all__ = ["AT_A_FEW_VOLTS", "more_current", "withheld"]

AT_A_FEW_VOLTS = {
    "reading_wrong": "put the leads on anew, and take current and watts at a few volts",
    "core_gap": "unplugged: tap the laminations home and clamp; the current at a few volts before and after",
    "core_steel_degraded": "exciting current and watts at a few volts; at more only when no turn is shorted",
    "laminations_bridged": (
        "unplugged: the sleeves and washers of the bolts; watts at a few volts, with the bolts tight and loosened"
    ),
}
"""What settles a fault whose usual check puts mains, or half of it, on the unit."""

# Current over that as found, from which no more volts than a few are to be put on; common practice, no source.
_SEVERAL = 3.0


def more_current(compared: Compared) -> float | None:
    """The most that a current is over that as found; None where it is not several times."""
    times = [
        one.value.value / compared.was[one.fed].current
        for one in compared.rows
        if one.what is What.AMPS and one.value is not None
    ]
    most = max(times, default=0.0)
    return most if most >= _SEVERAL else None


def withheld(weighed: list[Weighed], compared: Compared) -> bool:
    """Whether a shorted turn or a closed screen is likeliest, or not unlikely, or the current is several times that as
    found: mains comes after what settles it."""
    by_fault: dict[str, float] = {}
    for one in weighed:
        by_fault[one.candidate.fault] = by_fault.get(one.candidate.fault, 0.0) + one.probability
    dangerous = sum(probability for fault, probability in by_fault.items() if fault in DANGEROUS)
    likeliest = max(by_fault, key=lambda fault: by_fault[fault])
    return likeliest in DANGEROUS or dangerous > DANGEROUS_PROBABILITY or more_current(compared) is not None
