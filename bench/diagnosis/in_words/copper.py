"""What resistances say: a wire in hand that carries nothing, wire of another size, a joint, a break."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.acceptance.decision import Verdict
from bench.diagnosis.allowances import GAUGE_STEP
from bench.diagnosis.in_words.seen import Off, Said, Seen, listed, percent
from bench.job.winding import Winding
from bench.quantities import show

__all__ = ["patterns"]

_SIZE = 2 * math.log(GAUGE_STEP)
"""ln of the ohms of a wire over those one size thicker."""
_NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


def patterns(seen: Seen) -> Iterator[Said]:
    for winding in seen.job.winding:
        parts = _parts(seen, winding.name)
        whole = _whole(seen, winding.name, parts)
        if whole is not None and whole.off:
            yield from _strand(seen, winding, whole)
            yield from _wire(seen, winding, whole, parts)
        for part in parts:
            if part.up:
                yield from _joint(seen, part)
    yield from _open(seen)


def _parts(seen: Seen, winding: str) -> list[Off]:
    """A winding from lead to lead as it was read: its sections, else all of it."""
    found = [one for name, one in seen.ohms.items() if seen.design.spans[name].winding == winding]
    sections = [one for one in found if not seen.design.spans[one.name].whole]
    return sections or found


def _whole(seen: Seen, winding: str, parts: list[Off]) -> Off | None:
    if winding in seen.ohms:
        return seen.ohms[winding]
    sections = [one for one in seen.design.spans.values() if one.winding == winding and not one.whole]
    if not parts or len(parts) < len(sections):
        return None
    measured, expected = sum(one.measured for one in parts), sum(one.expected for one in parts)
    return Off(winding, measured, expected, max(one.u for one in parts))


def _strand(seen: Seen, winding: Winding, whole: Off) -> Iterator[Said]:
    n = winding.strands
    if n < 2 or not whole.like(math.log(n / (n - 1))):
        return
    times = {2: "twice the design's", 3: "one and a half times the design's"}.get(
        n, f"{whole.measured / whole.expected:.2f} times the design's"
    )
    one = f"one of {_NUMBERS.get(n, str(n))} wires in hand carries nothing"
    yield Said(
        f"ohms of {winding.name} are {times}{_turns_right(seen, winding.name)}: {one}", "strand_open", whole.name
    )


def _wire(seen: Seen, winding: Winding, whole: Off, parts: list[Off]) -> Iterator[Said]:
    sizes = round(whole.log / _SIZE)
    if not 1 <= abs(sizes) <= 2 or not whole.like(sizes * _SIZE) or not all(one.like(whole.log) for one in parts):
        return
    makes = f"{'one size' if abs(sizes) == 1 else 'two sizes'} {'thinner' if sizes > 0 else 'thicker'} than drawn"
    way = "up" if whole.log > 0 else "down"
    yield Said(
        f"ohms of {winding.name} are {way} by {percent(whole.share)}{_turns_right(seen, winding.name)}: wire {makes} "
        "has that",
        "wire_wrong",
        winding.name,
    )


def _joint(seen: Seen, part: Off) -> Iterator[Said]:
    right = [one.name for one in seen.ohms.values() if not one.off and one.name != part.name]
    # A tapped winding as a whole has its section's ohms in it.
    right = [name for name in right if name != seen.design.spans[part.name].winding]
    while_right = f" while {listed(right)} {'is' if len(right) == 1 else 'are'} right" if right else ""
    yield Said(
        f"ohms of {part.name} are {show(part.more, 'ohm', 2)} over the design's{while_right}: something stands in "
        "series with it, a joint or a lead",
        "joint_poor",
        part.name,
    )


def _turns_right(seen: Seen, winding: str) -> str:
    turns = seen.turns.get(winding)
    return " while its turns are right" if turns is not None and not turns.off else ""


def _open(seen: Seen) -> Iterator[Said]:
    closed = list(seen.ohms)
    for step in seen.judged:
        if step.id.startswith("resistance:") and step.measured is None and step.verdict is Verdict.REJECTED:
            others = f", {listed(closed)} {'is' if len(closed) == 1 else 'are'} whole" if closed else ""
            yield Said(
                f"no current passes through {step.winding}{others}: its wire is broken, or not joined to its lead",
                "winding_open",
                step.winding,
            )
