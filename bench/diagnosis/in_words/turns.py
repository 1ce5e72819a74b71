"""What turns by volts say: one winding off among right ones, all alike, two exchanged, a tap, a half reversed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.in_words.seen import Off, Said, Seen, listed, percent

__all__ = ["patterns"]

_SHARP = 0.15
"""Turns of doubt up to which a part of a turn is worth speaking of."""
_WHOLE = 0.3
_CANCELLED = 0.5


def patterns(seen: Seen) -> Iterator[Said]:
    whole = _by_winding(seen)
    swapped = list(_swapped(whole))
    yield from swapped
    common = _common(whole)
    if common is not None:
        yield from _of_primary(seen, *common)
    elif not swapped:
        yield from _of_one(seen, whole)
    yield from _of_taps(seen)
    yield from _against(seen)


def _by_winding(seen: Seen) -> dict[str, Off]:
    """Of each secondary its whole turns; where they were not read, those of its sections."""
    found: dict[str, Off] = {}
    for winding in seen.job.secondaries:
        if _cancelled(seen, winding.name) is not None:
            continue
        if winding.name in seen.turns:
            found[winding.name] = seen.turns[winding.name]
        else:
            found |= _sections(seen, winding.name)
    return found


def _sections(seen: Seen, winding: str) -> dict[str, Off]:
    names = [one.name for one in seen.design.spans.values() if one.winding == winding and not one.whole]
    return {name: seen.turns[name] for name in names if name in seen.turns}


def _common(whole: Mapping[str, Off]) -> tuple[float, list[str]] | None:
    """ln of the share by which two windings or more are off alike, and their names; None where they are not."""
    if len({name.partition(".")[0] for name in whole}) < 2:
        return None
    sharpest = min(whole.values(), key=lambda one: one.u)
    weight = sum(one.u**-2 for one in whole.values())
    mean = sum(one.log * one.u**-2 for one in whole.values()) / weight
    alike = all(one.like(mean) for one in whole.values())
    # The reading of the primary is common to all, so their mean is no surer than the surest of them.
    return (mean, list(whole)) if alike and sharpest.off and abs(mean) > 2 * sharpest.u else None


def _of_primary(seen: Seen, mean: float, names: list[str]) -> Iterator[Said]:
    fed = seen.design.fed
    turns = round(abs(seen.design.fed_span.turns) * (math.exp(-mean) - 1))
    spans = seen.design.spans
    left_out = {one.winding for one in spans.values()} - {fed} - {spans[name].winding for name in names}
    which = "all secondaries read" if len(names) > 2 and not left_out else f"{listed(names)} all read"
    if len(names) == 2:
        which = f"{listed(names)} both read"
    share = f"{which} {_way(mean)} by the same {percent(math.exp(mean) - 1)}"
    tell = "the series sum would tell"
    reference = f"the reference reads {'high' if mean < 0 else 'low'}"
    if turns == 0:
        yield Said(f"{share}, less than a turn of {fed}: {reference}; {tell}", "reading_wrong", fed)
        return
    has = f"{fed} has {_count(abs(turns))} {'too many' if turns > 0 else 'too few'}"
    for fault in ("turns_wrong", "reading_wrong"):
        yield Said(f"{share}: {has}, or {reference}; {tell}", fault, fed)


def _of_one(seen: Seen, whole: Mapping[str, Off]) -> Iterator[Said]:
    right = [one.name for one in whole.values() if not one.off]
    for one in whole.values():
        if not one.off:
            continue
        low = f"{one.name} reads {percent(one.share)} {_way(one.log)}"
        own = _amount(one)
        if right:
            verb = "is" if len(right) == 1 else "are"
            yield Said(f"{low} while {listed(right)} {verb} right: {own}", "turns_wrong", one.name)
        elif len(whole) == 1:
            fed = seen.design.fed
            turns = round(abs(seen.design.fed_span.turns) * (math.exp(-one.log) - 1))
            if turns == 0:
                yield Said(f"{low} and is the only one read, less than a turn of either", "reading_wrong", one.name)
                continue
            other = f"{fed} has {_count(abs(turns))} {'too many' if turns > 0 else 'too few'}"
            for place in (one.name, fed):
                yield Said(f"{low} and is the only one read: {own}, or {other}", "turns_wrong", place)
        else:
            yield Said(f"{low}, the others are off by other shares: {own}", "turns_wrong", one.name)


def _swapped(whole: Mapping[str, Off]) -> Iterator[Said]:
    for one, other in itertools.combinations(whole.values(), 2):
        apart = math.log(other.expected / one.expected)
        if one.off and other.off and one.like(apart) and other.like(-apart):
            yield Said(
                f"{one.name} reads the turns of {other.name}, and {other.name} those of {one.name}: their leads are "
                "exchanged",
                "leads_swapped",
                f"{one.name} and {other.name}",
            )


def _of_taps(seen: Seen) -> Iterator[Said]:
    """Sections of one winding that are off: against each other where the tap is, alone where turns are missing."""
    for winding in seen.job.secondaries:
        parts = _sections(seen, winding.name)
        right = [one.name for one in parts.values() if not one.off]
        for one in parts.values():
            if one.off and right and _cancelled(seen, winding.name) is None:
                low = f"{one.name} reads {percent(one.share)} {_way(one.log)} while {listed(right)} is right"
                yield Said(f"{low}: {_amount(one)}", "turns_wrong", one.name)
        for first, second in itertools.pairwise(parts.values()):
            doubt = 2 * math.hypot(first.u * first.measured, second.u * second.measured)
            moved = round((first.more - second.more) / 2)
            if moved and (first.off or second.off) and abs(first.more + second.more) <= max(doubt, _WHOLE):
                more, less = (first, second) if moved > 0 else (second, first)
                yield Said(
                    f"{more.name} has {_count(abs(moved))} more and {less.name} as many fewer, together they are "
                    f"right: the tap comes out {_count(abs(moved))} too {'late' if moved > 0 else 'early'}",
                    "tap_misplaced",
                    first.name,
                )


def _cancelled(seen: Seen, winding: str) -> float | None:
    """Turns of a tapped winding from end to end, where they are so few that its parts must oppose each other."""
    read = [
        one.measured
        for one in seen.judged
        if one.quantity == "turns_by_ratio" and one.winding == winding and one.measured is not None
    ]
    drawn = abs(seen.design.spans[winding].turns)
    tapped = bool(seen.job.get_winding(winding).taps)
    return read[-1] if read and tapped and read[-1] < _CANCELLED * drawn else None


def _against(seen: Seen) -> Iterator[Said]:
    """Windings, and halves of windings, whose volts stand against their drawing."""
    for step in seen.judged:
        if step.id.startswith("polarity:") and step.measured is not None and step.measured < 0:
            yield Said(
                f"the volts of {step.winding} take away from the primary's where its drawing lets them add: its start "
                "and finish are exchanged",
                "winding_reversed",
                step.winding,
            )
    broken = {one.winding.partition(".")[0] for one in seen.judged if one.id.startswith("resistance:") if _lacks(one)}
    for winding in seen.job.secondaries:
        parts = _sections(seen, winding.name)
        shown = _cancelled(seen, winding.name)
        if shown is None or winding.name in broken or any(one.off for one in parts.values()):
            continue
        right = f" while {listed(parts)} are right by themselves" if len(parts) > 1 else ""
        for section in seen.design.spans.values():
            if section.winding == winding.name and not section.whole:
                yield Said(
                    f"from end to end {winding.name} shows {round(shown)} of its {winding.turns} turns{right}: one "
                    "part of it runs against the rest",
                    "winding_reversed",
                    section.name,
                )


def _lacks(step: StepResult) -> bool:
    return step.measured is None and step.verdict is Verdict.REJECTED


def _amount(one: Off) -> str:
    """So many turns short, or too many; a part of a turn only where the reading is that sharp."""
    size = abs(one.more)
    if one.u * one.measured > _SHARP:
        count = f"about {_count(max(1, round(size)))}"
    elif abs(size - round(size)) > _WHOLE or round(size) == 0:
        return f"{one.name} has {size:.1f} turns too {'few' if one.more < 0 else 'many'}, which is no whole number"
    else:
        count = _count(round(size))
    return f"{one.name} is {count} short" if one.more < 0 else f"{one.name} has {count} too many"


def _count(turns: int) -> str:
    return f"{turns} turn{'s' * (turns != 1)}"


def _way(log: float) -> str:
    return "low" if log < 0 else "high"
