"""The tables of units beyond the frozen population as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from tests.campaigns.diagnosis.one_unit import Outcome

__all__ = ["outside_table", "two_table"]


def two_table(outcomes: Sequence[Outcome]) -> str:
    """How often both faults are named, one of them and nothing wrong beside, neither, or that nothing known fits."""
    lines = ["two faults at once:  both named, one of them, unknown, none, another"]
    return "\n".join(lines + [_shares(f"  {head}", group, _of_two) for head, group in _groups(outcomes)])


_TWO = ("both", "one of them", "unknown", "none", "another")


def _of_two(one: Outcome) -> str:
    true, top = set(one.fault.split(" + ")), one.named[0]
    named = set(top.fault.split("+"))
    places = set(filter(None, top.winding.split(" + ")))
    right_place = all(_covers(place, set(filter(None, one.winding.split(" + ")))) for place in places)
    if top.fault in ("unknown", "none"):
        return top.fault
    if named == true and right_place:
        return "both"
    return "one of them" if named < true and right_place else "another"


def _covers(place: str, true: set[str]) -> bool:
    """Whether a place named is one of the true ones, or a section of it."""
    return any(place == one or place.startswith(f"{one}.") or one.startswith(f"{place},") for one in true)


def outside_table(outcomes: Sequence[Outcome]) -> str:
    """Units whose fault is on no list: how often that was said, and what was named otherwise."""
    lines = ["faults outside the list:  named unknown, none, a known fault"]
    lines += [_shares(f"  {head}", group, _of_outside) for head, group in _groups(outcomes)]
    kinds = sorted({one.size for one in outcomes})
    for kind in kinds:
        named = Counter(one.named[0].fault for one in outcomes if one.size == kind)
        lines.append(f"  {kind}: " + ", ".join(f"{name} {count}" for name, count in named.most_common(5)))
    return "\n".join(lines)


_OUTSIDE = ("unknown", "none", "a known fault")


def _of_outside(one: Outcome) -> str:
    top = one.named[0].fault
    return top if top in ("unknown", "none") else "a known fault"


def _shares(head: str, outcomes: Sequence[Outcome], sort: Callable[[Outcome], str]) -> str:
    count = Counter(map(sort, outcomes))
    words = _TWO if sort is _of_two else _OUTSIDE
    return f"{head} ({len(outcomes)}): " + "  ".join(f"{count[word] / len(outcomes):.2f}" for word in words)


def _groups(outcomes: Sequence[Outcome]) -> list[tuple[str, list[Outcome]]]:
    keys = sorted({(one.bench, one.meter) for one in outcomes}, key=lambda key: (key[0] != "watts", float(key[1])))
    return [
        (f"{bench}, class {meter} %", [one for one in outcomes if (one.bench, one.meter) == (bench, meter)])
        for bench, meter in keys
    ]
