"""Readings before varnish and after it, side by side: what varnish and heat should have left as they were."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from bench.quantities import show

__all__ = ["Compared", "compare", "compares"]


class _Bad(Enum):
    """Which way a change is a bad sign."""

    DOWN = "down"
    UP = "up"
    EITHER = "either"


@dataclass(frozen=True)
class _Rule:
    """within: change, as a fraction, that says nothing;  sign: what a larger one says;  mends: whether time and warmth
    may set it right, so that it condemns nothing yet;  by_design: whether the reading hangs on the volts of the day, so
    that each is taken over what the design expects at its own."""

    within: float
    bad: _Bad
    sign: str
    mends: bool = False
    by_design: bool = False


# By the beginning of a step's id. 1 % of resistance and 5 % of watts are from memory and common practice, the others
# common practice: no source for any.
_RULES = {
    "insulation": _Rule(0.2, _Bad.DOWN, "damp, or varnish that is not cured: bake on, and read again", mends=True),
    "resistance": _Rule(0.01, _Bad.EITHER, "a joint, or wire that moved; or not the same temperature"),
    "ratio": _Rule(0.005, _Bad.EITHER, "a shorted turn, or a reading of other leads"),
    "turns": _Rule(0.005, _Bad.EITHER, "a shorted turn, or a reading of other leads"),
    "exciting": _Rule(
        0.10, _Bad.UP, "the core came loose, or varnish lifted a lamination; or a shorted turn", by_design=True
    ),
    "core_watts": _Rule(0.05, _Bad.UP, "laminations bridged, or a shorted turn", by_design=True),
}


@dataclass(frozen=True)
class Compared:
    """One step of both tests.  before, after: SI;  sign: what the change is a sign of, empty where it is none.

    change: as a fraction, at the same volts where the reading hangs on them, with its expanded uncertainty;  lower,
    upper: what says nothing;  mends: whether time and warmth may set it right.
    """

    id: str
    label: str
    unit: str
    before: float
    after: float
    sign: str
    change: float
    uncertainty: float
    lower: float | None
    upper: float | None
    mends: bool

    @property
    def words(self) -> str:
        one, other = (f"{x:.2f} turns" if self.unit == "turns" else show(x, self.unit) for x in self._both)
        return f"{self.label}: {one} before, {other} after, {self.change * 100:+.1f} %"

    @property
    def _both(self) -> tuple[float, float]:
        return self.before, self.after

    def as_json(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in ("id", "label", "unit", "before", "after", "sign", "change")}


def compare(before: Iterable[Mapping[str, Any]], after: Iterable[Mapping[str, Any]]) -> tuple[Compared, ...]:
    """Steps of two results, as they are recorded, that both hold a reading of something that should stay as it was.

    A change is a sign only beyond what its rule lets pass and what both readings' expanded uncertainties come to.
    """
    earlier = {str(step.get("id")): step for step in before}
    compared = []
    for step in after:
        rule = _RULES.get(str(step.get("id", "")).partition(":")[0])
        first = earlier.get(str(step.get("id")))
        if rule is None or first is None:
            continue
        one, other = _reading(first), _reading(step)
        if one is None or other is None:
            continue
        change = other[0] / one[0] / _design_moved(first, step, rule) - 1
        doubt = math.hypot(one[1], other[1])
        beyond = abs(change) > rule.within + doubt
        bad = rule.bad is _Bad.EITHER or (change > 0) is (rule.bad is _Bad.UP)
        compared.append(
            Compared(
                id=str(step["id"]),
                label=str(step.get("label", step["id"])),
                unit=str(step.get("unit", "")),
                before=one[0],
                after=other[0],
                sign=rule.sign if beyond and bad else "",
                change=change,
                uncertainty=doubt,
                lower=None if rule.bad is _Bad.UP else -rule.within,
                upper=None if rule.bad is _Bad.DOWN else rule.within,
                mends=rule.mends,
            )
        )
    return tuple(compared)


def _design_moved(first: Mapping[str, Any], step: Mapping[str, Any], rule: _Rule) -> float:
    """What the design expects of the later reading over what it expects of the earlier one."""
    one, other = first.get("expected"), step.get("expected")
    if not rule.by_design or not isinstance(one, (int, float)) or not isinstance(other, (int, float)) or one <= 0:
        return 1.0
    return float(other) / float(one) if other > 0 else 1.0


def compares(step_id: str) -> bool:
    """Whether a step of this id is one that varnish should leave as it was."""
    return step_id.partition(":")[0] in _RULES


def _reading(step: Mapping[str, Any]) -> tuple[float, float] | None:
    """Value and expanded uncertainty as a fraction of it; None where there is no reading above zero."""
    measured, uncertainty = step.get("measured"), step.get("uncertainty", 0.0)
    if not isinstance(measured, (int, float)) or measured <= 0 or not isinstance(uncertainty, (int, float)):
        return None
    return float(measured), float(uncertainty) / float(measured)
