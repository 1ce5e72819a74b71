"""What is counted over many units, for one class of meter on one bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bench.acceptance.result import DANGEROUS
from bench.quantities import Dimension, parse
from tests.campaigns.diagnosis.one_unit import Named, Outcome

__all__ = ["Tally", "right", "right_fault", "right_of", "tallies"]

_TARGETS = {"0.05": 0.92, "0.2": 0.91, "0.5": 0.90, "1": 0.89}
_MOST_ALARMS = 0.05
_MOST_ERROR = 0.05
_MOST_SECONDS = 0.2
_BINS = 10
# Up to these ohms a bench would notice the contact: the fault table's column.
_VISIBLE_OHMS = {"turns_shorted": 0.02, "screen_closed": 0.01}
_VISIBLE_MEGOHMS = 0.5


def right_fault(one: Outcome) -> bool:
    """Whether the most probable fault is the true one, wherever it sits."""
    return one.named[0].fault == one.fault


def right(one: Outcome) -> bool:
    """Whether fault and winding are right; of low insulation either side, of a whole fault no winding."""
    return right_of(one.named[0], one.fault, one.winding)


def right_of(top: Named, fault: str, winding: str) -> bool:
    """The same of what was named first, against the truth."""
    if top.fault != fault:
        return False
    if fault == "insulation_low" or not winding:
        return True
    if fault == "joint_poor" and top.winding.startswith(f"{winding}."):
        return True  # the joint of a tapped winding is that of the section at its end
    return top.winding == winding


def _in_three(one: Outcome) -> bool:
    return any(named.fault == one.fault and named.winding in (one.winding, "") for named in one.named[:3]) or right(one)


def _missed(one: Outcome) -> bool:
    """A dangerous fault, large enough to be noticed, taken for a good unit."""
    return one.fault in DANGEROUS and _visible(one) and one.named[0].fault == "none" and one.verdict == "accepted"


def _visible(one: Outcome) -> bool:
    if one.fault in _VISIBLE_OHMS:
        return parse(one.size, Dimension.RESISTANCE) <= _VISIBLE_OHMS[one.fault]
    return True


@dataclass(frozen=True)
class Tally:
    """Shares over the units of one meter class on one bench; reliability: of each bin, units, mean p, share right."""

    meter: str
    bench: str
    outcomes: tuple[Outcome, ...]

    @property
    def top(self) -> float:
        return _share([right(one) for one in self.outcomes])

    @property
    def at_its_ceiling(self) -> Tally:
        """Of the units that were, what the classifier names when it is given the rehearsal's formulas."""
        known = tuple(replace(one, named=one.ceiling) for one in self.outcomes if one.ceiling)
        return Tally(self.meter, self.bench, known)

    def of(self, found_first: bool) -> Tally:
        """Those whose core was read before it was stripped, or the others."""
        return Tally(self.meter, self.bench, tuple(one for one in self.outcomes if one.found_first is found_first))

    @property
    def top_fault(self) -> float:
        return _share([right_fault(one) for one in self.outcomes])

    @property
    def top_three(self) -> float:
        return _share([_in_three(one) for one in self.outcomes])

    @property
    def false_alarms(self) -> float:
        return _share([not right(one) for one in self.outcomes if one.fault == "none"])

    @property
    def missed(self) -> int:
        return sum(_missed(one) for one in self.outcomes)

    @property
    def unknown(self) -> float:
        return _share([one.named[0].fault == "unknown" for one in self.outcomes])

    @property
    def seconds(self) -> float:
        """Median of a diagnosis."""
        return sorted(one.seconds for one in self.outcomes)[len(self.outcomes) // 2]

    @property
    def reliability(self) -> list[tuple[int, float, float]]:
        bins: list[list[Outcome]] = [[] for _ in range(_BINS)]
        for one in self.outcomes:
            bins[min(_BINS - 1, int(one.named[0].probability * _BINS))].append(one)
        return [
            (len(each), _share([one.named[0].probability for one in each]), _share([right(one) for one in each]))
            for each in bins
            if each
        ]

    @property
    def calibration_error(self) -> float:
        """Mean distance of probability and share right over the bins, by their units."""
        return sum(count * abs(told - true) for count, told, true in self.reliability) / max(1, len(self.outcomes))

    @property
    def failings(self) -> list[str]:
        """Targets that are missed; the bench without watts has none."""
        if self.bench != "watts":
            return []
        name = f"class {self.meter} %"
        said = []
        if self.top < _TARGETS[self.meter]:
            said.append(f"{name}: fault and winding right in {self.top:.3f}, wanted {_TARGETS[self.meter]}")
        if self.false_alarms > _MOST_ALARMS:
            said.append(f"{name}: false alarms on {self.false_alarms:.1%} of good units, wanted {_MOST_ALARMS:.0%}")
        if self.calibration_error >= _MOST_ERROR:
            said.append(f"{name}: calibration error {self.calibration_error:.3f}, wanted below {_MOST_ERROR}")
        if self.missed:
            said.append(f"{name}: {self.missed} dangerous faults of visible size taken for good, wanted none")
        if self.seconds > _MOST_SECONDS:
            said.append(f"{name}: {self.seconds * 1e3:.0f} ms a diagnosis, wanted {_MOST_SECONDS * 1e3:.0f}")
        return said


def tallies(outcomes: Sequence[Outcome]) -> list[Tally]:
    """One for each class of meter on each bench."""
    keys = sorted({(one.bench, one.meter) for one in outcomes}, key=lambda key: (key[0] != "watts", float(key[1])))
    return [
        Tally(meter, bench, tuple(one for one in outcomes if (one.bench, one.meter) == (bench, meter)))
        for bench, meter in keys
    ]


def _share(values: Sequence[float]) -> float:
    return sum(values) / len(values) if values else 0.0
