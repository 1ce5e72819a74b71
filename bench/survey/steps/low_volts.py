"""A few volts from the isolated source, so few that no terminal can hurt: from here on the ratios are known."""

from __future__ import annotations

import math

from bench.acceptance.feeding import settable
from bench.acceptance.leads import HANDS_OFF_VOLTS, Steps
from bench.acceptance.requests import Connect, Skipped, Trouble
from bench.magnetics.emf import emf
from bench.survey.first_volts import guessed_turns
from bench.survey.interval import COVERAGE
from bench.survey.reading_context import ReadingContext
from bench.survey.volts_pairs import read_pairs
from drivers.reading import Quantity, State

MAINS = False
FEEDS = True
CAUTIONED = False
WHAT = "volts at a few volts"

_STEP = "found:low"
_PART = 0.97
"""Of the volts at which hands go off: a source is set by its scale."""
_FLUX_PART = 0.5
"""Of the flux that the unit was made for: no core nears its knee."""


def run(context: ReadingContext) -> Steps:
    yield from _frequency(context)
    feed = context.feed(_STEP, first_volts_here(context), "low voltage")
    context.ratios |= yield from read_pairs(context, _STEP, feed)
    yield from context.switch_off(_STEP)
    _bar_mains(context)


def first_volts_here(context: ReadingContext) -> float:
    """Volts on the fed winding [V]: no terminal above 25 V, no flux near the knee, no more than the source gives."""
    full = context.full_flux_volts
    by_flux = _by_flux(context) if full is None else _FLUX_PART * full
    return settable(min(context.equipment.low_volts, _PART * HANDS_OFF_VOLTS / context.step_up, by_flux))


def _by_flux(context: ReadingContext) -> float:
    """By the fewest turns that the ohms allow, where no plate tells; no limit where nothing does."""
    assert context.fed is not None
    name, area = context.fed.name, context.job.core.net_area
    turns = context.fed.turns
    if turns is None and name in context.ohms:
        guess = guessed_turns(context.ohms[name], len(context.own), context.job.core)
        turns = None if guess is None else guess.value * math.exp(-COVERAGE * guess.relative)
    if turns is None or area is None:
        return math.inf
    return emf(context.hertz, turns, float(context.rules["flux"]["first_T"]), area)


def _frequency(context: ReadingContext) -> Steps:
    """Before anything is trusted with mains: flux goes with the inverse of it."""
    fed, nominal, step = context.fed_span, context.hertz, "found:frequency"
    if Quantity.FREQUENCY not in context.equipment.quantities:
        context.skip("frequency", f"this meter does not read hertz; {nominal:g} Hz is taken for true")
        return
    try:
        yield from context.connect(
            Connect(
                step,
                Quantity.FREQUENCY,
                fed.from_terminal,
                fed.to_terminal,
                winding=fed.winding,
                text=f"Ohmmeter off. Meter on {fed.name}, the winding that is fed, set to hertz.",
                expected=nominal,
            )
        )
        yield from context.excite(context.feed(step, first_volts_here(context), "low voltage"))
        reading = yield from context.take(step, Quantity.FREQUENCY, nominal)
    except Skipped as reason:
        context.skip("frequency", reason)
        return
    if reading.state is not State.GOOD or reading.value is None:
        context.skip("frequency", f"the meter reads {reading.state}")
        return
    if abs(reading.value / nominal - 1) > float(context.rules["reading"]["frequency_tolerance"]):
        raise Trouble(f"{step}: the supply runs at {reading.value:.4g} Hz, the job expects {nominal:.4g} Hz")
    context.read.append("frequency")
    # To a tenth: points of one curve, read on two days, are points of one frequency.
    context.hertz = round(reading.value, 1)


def _bar_mains(context: ReadingContext) -> None:
    """Why mains is not put on, by what the ratios tell and leave open."""
    if context.mains_bars:
        return
    for name, one in context.step_ups.items():
        if name not in context.ratios and (one is None or one.expected is None):
            context.mains_bars.append(f"the ratio of {name} was not read, and neither plate nor count tells it")
    full = context.full_flux_volts
    if full is None:
        context.mains_bars.append(
            f"nothing tells what {context.fed_span.name} was made for: made_for, or a plate, gives its volts"
        )
        return
    most = float(context.rules["reading"]["unplated_V"])
    unplated = {one.name for one in context.found.winding if one.nameplate_voltage is None}
    for name, ratio in context.ratios.items():
        if name in unplated and ratio * full > most:
            context.mains_bars.append(
                f"{name} would give {ratio * full:.0f} V, and no plate says so: write its nameplate_voltage if that is "
                "right"
            )
