"""The faults that readings can show without a design, with their sizes; what they can't show keeps its prior apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from bench.diagnosis.allowances import GAUGE_STEP
from bench.diagnosis.without_design.core_change import (
    LOSS_BY_FREQUENCY,
    SLOPES,
    USUAL_SLOPE,
    Change,
    loss_slope,
    slope_of,
)
from bench.diagnosis.without_design.evidence import Compared
from bench.diagnosis.without_design.known import Known
from bench.diagnosis.without_design.readings import What
from bench.diagnosis.without_design.sections import sections_of

__all__ = ["LOOPS", "Candidate", "candidates"]

LOOPS = ("turns_shorted", "screen_closed", "laminations_bridged")
"""A loop round the core, whatever it is made of, takes watts that go with the volts squared."""


_SAME = Change()
# A transformer has as many windings, whether the job names them or not.
_FEWEST = 2


@dataclass(frozen=True)
class Candidate:
    """A fault with its place and size.

    share: of the fault's prior;  turns: the winding whose turns are off by an unknown share, slope: d ln I / d ln V for
    it;  ohms_spread: u that the change leaves in ln(ohms), by winding;  misread: the row that was taken wrongly;
    fed_read [V]: volts on the fed winding that were in truth others, by fed_off of their logarithm;  misread_open: the
    winding that was wrongly read as open;  loop_step: to the next size of a loop, between which it may lie.
    """

    fault: str
    winding: str = ""
    size: str = ""
    share: float = 1.0
    change: Change = _SAME
    turns: str = ""
    slope: float = USUAL_SLOPE
    ohms_spread: float = 0.0
    misread: int | None = None
    fed_read: float = 0.0
    fed_off: float = 0.0
    misread_open: str = ""
    loop_step: float = 1.0


def candidates(known: Known, compared: Compared) -> list[Candidate]:
    """Every fault that would show in one of the readings; the shares of a fault whose other places would not show add
    up to less than one."""
    found = [Candidate("none"), Candidate("unknown"), *_read_wrongly(known, compared)]
    places = max(_FEWEST, sum("." not in one for one in known.names))
    found += _opened(compared, places)
    found += _of_ohms(known, compared, places)
    slopes = _slopes(known, compared)
    found += _turns(known, compared, places, slopes)
    if compared.was:
        found += _of_core(slopes, known.frequency)
    return found


def _read_wrongly(known: Known, compared: Compared) -> Iterator[Candidate]:
    """Each reading by itself, and the volts on the fed winding with all that rests on them."""
    fed_volts = sorted({one.fed for one in compared.rows if one.fed})
    often = {volts: _OFTEN_NEAR if _near(volts, compared, known.nominal) else 1.0 for volts in fed_volts}
    count = len(compared.rows) + len(compared.opened) + sum(often.values())
    for row, one in enumerate(compared.evidence.observed):
        yield Candidate("reading_wrong", one.name, one.step.label, 1 / count, misread=row)
    for volts in fed_volts:
        for off, share in _fed_off(volts, compared, known.nominal):
            words = f"{volts:g} V on {known.shown.fed}"
            yield Candidate(
                "reading_wrong", known.shown.fed, words, share * often[volts] / count, fed_read=volts, fed_off=off
            )
    for name in compared.opened:
        yield Candidate("reading_wrong", name, f"resistance of {name}", 1 / count, misread_open=name)


# Of volts written down for others: standard deviation of their logarithm, and the steps in which it is weighed where
# currents hang on it.
_ANYTHING, _STEP = 0.7, 0.05
# The same of volts written down as about nominal: who puts mains on a winding, straight or by a variable transformer,
# may read a fifth or so wrongly, never several times, and does so less often than with other readings.  Common
# practice, no source.
_NEAR, _OFF_NEAR, _MOST_NEAR, _OFTEN_NEAR = 0.15, 0.15, 0.30, 1 / 3


def _near(volts: float, compared: Compared, nominal: float | None) -> bool:
    return volts in compared.was and nominal is not None and abs(math.log(volts / nominal)) < _NEAR


def _fed_off(volts: float, compared: Compared, nominal: float | None) -> list[tuple[float, float]]:
    """What ln(volts on the fed winding) may be off by, each with its share; ratios alone are weighed in one."""
    if volts not in compared.was:
        return [(0.0, 1.0)]
    spread, most = (_OFF_NEAR, _MOST_NEAR) if _near(volts, compared, nominal) else (_ANYTHING, 2 * _ANYTHING)
    count = round(most / _STEP)
    steps = [_STEP * step for step in range(-count, count + 1)]
    weights = [math.exp(-0.5 * (step / spread) ** 2) for step in steps]
    return [(step, weight / sum(weights)) for step, weight in zip(steps, weights, strict=True)]


def _opened(compared: Compared, places: int) -> Iterator[Candidate]:
    """Any winding that was read at all, and its sections; for the whole the one section that was read as open."""
    read = {one.winding for one in compared.rows} | {*compared.opened, *compared.whole}
    for name in sorted(read):
        if len(sections_of(name, compared.opened)) == 1:
            continue
        yield Candidate("winding_open", name, share=1 / max(places, len(read)), change=Change(opened=name))


# ln of ohms with a poor joint over those without, and its spread: from 5 to 100 % more; common practice, no source.
_JOINT, _U_JOINT = 0.45, 0.30


def _of_ohms(known: Known, compared: Compared, places: int) -> Iterator[Candidate]:
    for one in compared.rows:
        if one.what is not What.OHMS:
            continue
        name, share = one.winding, 1 / places
        for sizes in (-2, -1, 1, 2):
            words = f"{abs(sizes)} size{'s' * (abs(sizes) > 1)} {'thicker' if sizes > 0 else 'thinner'} than it was"
            change = Change(ohms={name: -2 * sizes * math.log(GAUGE_STEP)})
            yield Candidate("wire_wrong", name, words, share / 4, change)
        yield Candidate("joint_poor", name, "", share, Change(ohms={name: _JOINT}), ohms_spread=_U_JOINT)
        strands = known.strands.get(name, 1)
        if strands > 1:
            change = Change(ohms={name: math.log(strands / (strands - 1))})
            yield Candidate("strand_open", name, f"{strands - 1} of {strands} carry", share, change)


def _slopes(known: Known, compared: Compared) -> tuple[float, ...]:
    """d ln I / d ln V of the core; from below its knee to beyond where nobody read it."""
    if not compared.was:
        return (USUAL_SLOPE,)
    told = slope_of(known.curve, max(compared.was))
    return (told,) if told is not None else SLOPES


def _turns(known: Known, compared: Compared, places: int, slopes: tuple[float, ...]) -> Iterator[Candidate]:
    """The fed winding shows in every ratio and in the current; each other one in its own volts."""
    share, fed = 1 / places, known.shown.fed
    for name in dict.fromkeys(one.winding for one in compared.rows if one.what is What.VOLTS):
        yield Candidate("turns_wrong", name, share=share, turns=name)
    if compared.was or compared.has(What.VOLTS):
        for slope in slopes:
            yield Candidate("turns_wrong", fed, share=share / len(slopes), turns=fed, slope=slope)


# Sizes in even steps of the logarithm, each step's share alike.  Reactive current of the air over the core's own: from
# what stacking anew may do to a joint that gapes.
_GAPS = tuple(0.1 * 1.12**step for step in range(45))
# Watts of a loop over the core's own: a turn of thin wire takes less than the core, one of heavy wire in a large core
# thirty times as much (volts a turn squared over its ohms); a foil is heavier than any turn; burrs take up to twice and
# a half.  Common practice, no source.
_LOOP_STEP = 1.15
_TURNS = tuple(0.1 * _LOOP_STEP**step for step in range(42))
_SCREENS = tuple(0.5 * _LOOP_STEP**step for step in range(34))
_BRIDGES = tuple(0.1 * _LOOP_STEP**step for step in range(24))
# Layers that touch, a lead across another, a whole winding shorted: rarer, and there is no end to their watts but the
# ohms of the fed winding, which allow a few thousand times the core's.  Common practice, no source.
_BEYOND_STEP, _BEYOND_STEPS, _BEYOND_SHARE = 1.3, 18, 0.1
_WORSE = tuple(1.15 * 1.1**step for step in range(12))
# Of a stack: a lamination or two left over is common, a tenth of all is not, by so much the rarer for each 5 %; common
# practice, no source.
_SHORT = (0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.10, 0.12, 0.15)
_RARER = [math.exp(-short / 0.05) for short in _SHORT]
# The field rises with the loss of a poorer steel, by about its root.  Common practice, no source.
_FIELD_OF_LOSS = 0.5
_MAINS = (50.0, 60.0)
# Of supplies that are not what the job says, those of the other frequency; the rest have another wave, which does
# nothing that is known.  Common practice, no source.
_OTHER_FREQUENCY = 0.5


def _loops(fault: str, usual: tuple[float, ...], beyond: float) -> Iterator[Candidate]:
    """The usual sizes, and those beyond them with their share of the fault's prior."""
    for loop in usual:
        yield Candidate(fault, share=(1 - beyond) / len(usual), change=Change(loop=loop), loop_step=_LOOP_STEP)
    for step in range(1, 1 + _BEYOND_STEPS if beyond else 1):
        change = Change(loop=usual[-1] * _BEYOND_STEP**step)
        yield Candidate(fault, share=beyond / _BEYOND_STEPS, change=change, loop_step=_BEYOND_STEP)


def _of_core(slopes: tuple[float, ...], frequency: float | None) -> Iterator[Candidate]:
    yield from (Candidate("core_gap", share=1 / len(_GAPS), change=Change(gap=gap)) for gap in _GAPS)
    for fault, usual, beyond in zip(LOOPS, (_TURNS, _SCREENS, _BRIDGES), (True, True, False), strict=True):
        yield from _loops(fault, usual, _BEYOND_SHARE if beyond else 0.0)
    for times in _WORSE:
        poorer = Change(reactive=_FIELD_OF_LOSS * math.log(times), loss=math.log(times))
        yield Candidate("core_steel_degraded", "", f"{times:.2g} times", 1 / len(_WORSE), poorer)
    for slope in slopes:
        for short, weight in zip(_SHORT, _RARER, strict=True):
            flux = -math.log(1 - short)
            # More watts a kilogram, in fewer kilograms.
            change = Change(reactive=slope * flux, loss=(loss_slope(slope) - 1) * flux)
            yield Candidate("core_stack_short", "", f"{short:.0%}", weight / sum(_RARER) / len(slopes), change)
        others = [one for one in _MAINS if frequency is None or abs(one / frequency - 1) > 0.1]
        for other in others:
            flux = math.log((frequency or sum(_MAINS) - other) / other)
            change = Change(reactive=slope * flux, loss=(loss_slope(slope) - LOSS_BY_FREQUENCY) * flux)
            share = _OTHER_FREQUENCY / len(others) / len(slopes)
            yield Candidate("supply_wrong", "", f"as if at {other:g} Hz", share, change)
