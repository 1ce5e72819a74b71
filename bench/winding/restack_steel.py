"""Whether all the steel is in the core again: E's and I's, layers that close, height."""

from __future__ import annotations

from bench.quantities import show
from bench.winding.restack_values import Due, Restack, laminations_due
from bench.winding.restack_words import remark
from bench.winding.stage import Remark, Weight
from bench.winding.typed_answers import Laminations

__all__ = ["counts", "height", "steel"]

_LEAST_FILLING = 0.85
"""Of a pressed stack: an old burred one stacked by hand has 0.90 to 0.93 of steel (from memory)."""


def counts(one: Restack, due: Due) -> list[Remark]:
    """E's against I's, and what is in against what came out or is left over."""
    if one.put_in is None:
        return []
    remarks = []
    if one.put_in.e != one.put_in.i:
        more, less = ("E", "I") if one.put_in.e > one.put_in.i else ("I", "E")
        lacking = abs(one.put_in.e - one.put_in.i)
        without = f"{_times(lacking, more)} without {'its' if lacking == 1 else 'their'} {less}"
        words = f"{one.put_in.e} E but {one.put_in.i} I are in: {without}"
        remarks.append(remark("e_not_i", Weight.WARNING, words))
    if one.came_out is not None and due.core_kept:
        remarks += _against_came_out(one, one.put_in, one.came_out, due)
    elif _left_over_counts(one, due) and one.left_over is not None:
        remarks += _short(one.put_in.closed, one.put_in.closed + one.left_over.closed, due, "with those left over")
    return remarks


def steel(one: Restack, due: Due) -> list[Remark]:
    """Count times thickness, where the steel's name tells it, against the height and the design."""
    if one.put_in is None or due.thickness is None:
        return []
    remarks = []
    thick = one.put_in.closed * due.thickness
    counted = f"{one.put_in.closed} x {show(due.thickness, 'm', 2)} (by the name of the steel) is {show(thick, 'm', 3)}"
    if one.stack is not None:
        filling = thick / one.stack
        if filling > 1:
            words = f"{counted} of steel, more than the {show(one.stack, 'm', 3)} that it stands high"
            remarks.append(remark("more_steel_than_height", Weight.WARNING, words))
        elif filling < _LEAST_FILLING:
            words = f"{counted} of steel in {show(one.stack, 'm', 3)}: {filling * 100:.0f} % of the height"
            remarks.append(remark("loose_stack", Weight.WARNING, words))
    wanted = laminations_due(due)
    told_already = (one.came_out is not None and due.core_kept) or _left_over_counts(one, due)
    if wanted is not None and not told_already:
        remarks += _short(one.put_in.closed, wanted, due, "by the design")
    return remarks


def height(one: Restack, due: Due) -> list[Remark]:
    """Of the pressed stack, against the design's."""
    if one.stack is None or due.stack is None:
        return []
    off = one.stack / due.stack - 1
    if abs(off) <= due.tolerance:
        return []
    words = (
        f"the stack is {show(one.stack, 'm', 3)} high, the design's {show(due.stack, 'm', 3)}: {off * 100:+.1f} %, "
        f"more than the {due.tolerance * 100:.0f} % that the test passes"
    )
    return [remark("stack_low" if off < 0 else "stack_high", Weight.WARNING, words)]


def _against_came_out(one: Restack, put_in: Laminations, came_out: Laminations, due: Due) -> list[Remark]:
    remarks = _short(put_in.closed, came_out.closed, due, "as came out")
    if one.left_over is not None:
        known = put_in + one.left_over + (one.scrapped or Laminations(0, 0))
        if known != came_out:
            where = f"{put_in} in, {one.left_over} left over, {one.scrapped or 'none'} scrapped"
            lost = [(came_out.e - known.e, "E"), (came_out.i - known.i, "I")]
            told = [f"{abs(n)} {kind} {'unaccounted for' if n > 0 else 'too many'}" for n, kind in lost if n]
            words = f"{came_out} came out; {where}: {', '.join(told)}"
            new = all(n <= 0 for n, _ in lost)
            remarks.append(remark("more_than_came_out" if new else "unaccounted", _weight_of(new), words))
    return remarks


def _left_over_counts(one: Restack, due: Due) -> bool:
    """Whether those left over are missing: of new ones out of a box they are not."""
    return due.core_kept and one.left_over is not None and one.left_over.closed > 0


def _weight_of(harmless: bool) -> Weight:
    return Weight.NOTE if harmless else Weight.WARNING


def _short(closed: int, wanted: int, due: Due, as_what: str) -> list[Remark]:
    """Fewer closed layers than wanted, and what that takes from the stack; a note within its tolerance."""
    if closed >= wanted or wanted == 0:
        return []
    share = (wanted - closed) / wanted
    words = f"{closed} closed layers where {wanted} make the stack {as_what}: {_times(wanted - closed, 'layer')} short"
    return [remark("missing_laminations", _weight_of(share <= due.tolerance), words + _cost(share, due))]


def _cost(share: float, due: Due) -> str:
    """What a share of the stack that is missing comes to."""
    told = f", {share * 100:.1f} % of the stack"
    if due.stack is not None:
        told += f" ({show(share * due.stack, 'm', 2)} of the design's {show(due.stack, 'm', 3)})"
    if share < 1:
        more = 1 / (1 - share)
        told += f"; {(more - 1) * 100:.1f} % more flux density at the same volts"
        if due.flux_density is not None:
            told += f", {show(due.flux_density, 'T')} becomes {show(due.flux_density * more, 'T')}"
    return told


def _times(number: int, what: str) -> str:
    plural = "" if number == 1 else "'s" if len(what) == 1 else "s"
    return f"{number} {what}{plural}"
