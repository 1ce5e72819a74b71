"""What many outcomes come to: shares of false accepts, false rejects and undecided, of units and of decisions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from bench.acceptance.decision import Verdict
from tests.campaigns.decisions.one_unit import Decided, Outcome, kind_of

__all__ = [
    "MOST_FALSE_ACCEPTS",
    "MOST_UNDECIDED",
    "SHARP",
    "DecisionTally",
    "UnitTally",
    "tally_decisions",
    "tally_units",
]

MOST_FALSE_ACCEPTS = 0.025
"""Of nonconforming units, at each class of meter."""
MOST_UNDECIDED = 0.10
"""Of conforming units, with the sharpest meter."""
SHARP = "0.05"


@dataclass
class UnitTally:
    """Verdicts of units with one class of meter, apart for conforming and nonconforming ones.

    plain: conforming units in which nothing was put off beyond the usual variation.  by: what made a verdict other than
    accepted, by verdict.  untold: of the false accepts, those of which only quantities are out that this meter was said
    not to be able to judge.  on_limit: of the good and undecided, those with a true value exactly on a limit.
    """

    meter: str
    conforming: Counter[str] = field(default_factory=Counter)
    nonconforming: Counter[str] = field(default_factory=Counter)
    plain: Counter[str] = field(default_factory=Counter)
    by: dict[str, Counter[str]] = field(default_factory=dict)
    untold: int = 0
    on_limit: int = 0

    @property
    def false_accepts_at_most(self) -> float:
        """Upper bound of that share with 95 % confidence, for so many units (Clopper and Pearson, from memory)."""
        accepted, total = self.nonconforming[Verdict.ACCEPTED], self.nonconforming.total()
        from scipy.stats import beta  # slow to come up: whoever collects the tests has no need of it

        return 1.0 if accepted == total else float(beta.ppf(0.95, accepted + 1, total - accepted))

    @property
    def false_accepts(self) -> float:
        """Share of the nonconforming units that were accepted."""
        return _share(self.nonconforming, Verdict.ACCEPTED)

    @property
    def false_rejects(self) -> float:
        """Share of the conforming units that were rejected."""
        return _share(self.conforming, Verdict.REJECTED)

    @property
    def undecided_good(self) -> float:
        """Share of the conforming units that were left undecided."""
        return _share(self.conforming, Verdict.UNDECIDED)

    @property
    def undecided_bad(self) -> float:
        """Share of the nonconforming units that were left undecided."""
        return _share(self.nonconforming, Verdict.UNDECIDED)

    @property
    def failings(self) -> list[str]:
        """What breaks the bar, in words."""
        found = []
        if self.false_accepts > MOST_FALSE_ACCEPTS:
            found.append(
                f"class {self.meter} %: {self.false_accepts:.1%} false accepts, at most {MOST_FALSE_ACCEPTS:.1%}"
            )
        if self.meter == SHARP and self.undecided_good > MOST_UNDECIDED:
            found.append(
                f"class {self.meter} %: {self.undecided_good:.1%} of good undecided, at most {MOST_UNDECIDED:.0%}"
            )
        return found


@dataclass
class DecisionTally:
    """Decisions of one kind of step against the truth of its own quantity.

    off: how far the truth lay from what was measured, in expanded uncertainties, where both are numbers.
    """

    kind: str
    conforming: Counter[str] = field(default_factory=Counter)
    nonconforming: Counter[str] = field(default_factory=Counter)
    off: list[float] = field(default_factory=list)
    continuity: int = 0
    own_limits: int = 0
    unknown: int = 0

    @property
    def beyond(self) -> float:
        """Share of the readings whose truth lay outside the expanded uncertainty; one in twenty is due at most."""
        return sum(abs(one) > 1 for one in self.off) / len(self.off) if self.off else 0.0


def tally_units(outcomes: Sequence[Outcome]) -> dict[str, UnitTally]:
    """Verdicts of the units, by class of meter."""
    found: dict[str, UnitTally] = {}
    for one in outcomes:
        row = found.setdefault(one.meter, UnitTally(one.meter))
        (row.conforming if one.conforms else row.nonconforming)[one.verdict] += 1
        row.untold += one.verdict is Verdict.ACCEPTED and not one.conforms and one.untold
        row.on_limit += one.verdict is Verdict.UNDECIDED and one.conforms and one.on_limit
        if one.conforms and not one.put_in:
            row.plain[one.verdict] += 1
        if one.by:
            row.by.setdefault(one.verdict, Counter())[one.by] += 1
    return found


def tally_decisions(outcomes: Sequence[Outcome]) -> dict[str, DecisionTally]:
    """Single decisions, by kind of step."""
    found: dict[str, DecisionTally] = {}
    for outcome in outcomes:
        for step in outcome.decided:
            _count(found.setdefault(kind_of(step.step), DecisionTally(kind_of(step.step))), step)
    return found


def _count(row: DecisionTally, step: Decided) -> None:
    row.continuity += step.continuity
    row.own_limits += step.own_limits
    if step.conforms is None:
        row.unknown += 1
        return
    (row.conforming if step.conforms else row.nonconforming)[step.verdict] += 1
    if step.off is not None:
        row.off.append(step.off)


def _share(verdicts: Counter[str], verdict: Verdict) -> float:
    total = verdicts.total()
    return verdicts[verdict] / total if total else 0.0
