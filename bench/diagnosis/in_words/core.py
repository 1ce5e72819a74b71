"""What exciting current and watts say: air in the flux's way, an early knee, a closed loop, poor steel."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.diagnosis.allowances import U_STACK
from bench.diagnosis.in_words.seen import HALF, Off, Said, Seen, percent
from bench.quantities import show

__all__ = ["patterns"]

_BELOW_THE_KNEE, _NEAR_NOMINAL = 0.75, 0.95
"""Shares of nominal volts up to which, and from which, a curve is called below its knee and near nominal."""
# Volts that are so many times others tell how watts grow between them.
_APART = 1.1
_SQUARE_WITHIN = 0.3
_LOOPS = ("turns_shorted", "screen_closed", "laminations_bridged", "strands_unequal")


def patterns(seen: Seen) -> Iterator[Said]:
    nominal = seen.design.voltage
    weak = [one for one in seen.amps if one.volts <= _BELOW_THE_KNEE * nominal]
    strong = [one for one in seen.amps if one.volts >= _NEAR_NOMINAL * nominal]
    yield from _air(seen, [one for one in seen.amps if one.up])
    yield from _knee(seen, weak, strong)
    yield from _loop(seen)
    yield from _steel(seen)
    yield from _stack(seen)


def _full_watts(seen: Seen) -> list[Off]:
    """Watts at enough flux that the design knows them well."""
    return [one for one in seen.watts if one.volts >= 0.3 * seen.design.voltage]


def _air(seen: Seen, up: list[Off]) -> Iterator[Said]:
    """A gap asks for ampere turns in proportion to the flux: where the core takes few, it shows most."""
    watts = _full_watts(seen)
    if not up or any(one.off for one in watts):
        return
    half = [one for one in up if seen.at(one.volts) == HALF]
    most = half[0] if half else max(up, key=lambda one: one.log)
    same = " while the watts are as designed" if watts else ""
    yield Said(
        f"the current is up by {percent(most.share)} at {seen.at(most.volts)}{same}: the flux crosses air", "core_gap"
    )


def _knee(seen: Seen, weak: list[Off], strong: list[Off]) -> Iterator[Said]:
    if not weak or not strong or any(one.off for one in weak) or not strong[-1].up:
        return
    low, high = weak[0], strong[-1]
    at = f"{_signed(high.share)} at {seen.at(high.volts)}, {_signed(low.share)} at {seen.at(low.volts)}"
    early = f"only near nominal does the current lie over the design ({at}): the knee comes early"
    yield Said(f"{early}, there is too little steel for the flux", "core_stack_short")
    yield Said(f"{early}, the flux is more than drawn", "turns_wrong", seen.design.fed)


def _loop(seen: Seen) -> Iterator[Said]:
    up = [one for one in seen.watts if one.up]
    if not up:
        return
    told = up[-1]
    over = f"the watts are {told.more:.2g} W over the design at {seen.at(told.volts)}"
    apart = _power(up[0], told) if told.volts > _APART * up[0].volts else None
    if apart is not None and abs(apart - 2) < _SQUARE_WITHIN:
        over += ", and that grows with the square of the volts"
    for fault in _LOOPS:
        yield Said(f"{over}: a closed loop takes them", fault)


def _power(low: Off, high: Off) -> float:
    """The power of the volts with which what is over the design grows."""
    return math.log(high.more / low.more) / math.log(high.volts / low.volts)


def _steel(seen: Seen) -> Iterator[Said]:
    amps, watts = [one for one in seen.amps if one.up], [one for one in _full_watts(seen) if one.up]
    if amps and watts:
        most = max(amps, key=lambda one: one.log)
        yield Said(
            f"current ({_signed(most.share)} at {seen.at(most.volts)}) and watts ({_signed(watts[-1].share)} at "
            f"{seen.at(watts[-1].volts)}) are both up: the steel is poorer than its kind",
            "core_steel_degraded",
        )


def _stack(seen: Seen) -> Iterator[Said]:
    drawn = seen.design.stack
    for step in seen.judged:
        if step.quantity == "stack_height" and step.measured is not None and drawn is not None:
            short = drawn - step.measured
            if short > 2 * math.hypot(step.u, U_STACK):
                yield Said(
                    f"the stack stands {show(step.measured, 'm', 3)} high and is drawn {show(drawn, 'm', 3)}, "
                    f"{percent(short / drawn)} short: laminations are missing",
                    "core_stack_short",
                )


def _signed(share: float) -> str:
    return f"{share * 100:+.0f} %"
