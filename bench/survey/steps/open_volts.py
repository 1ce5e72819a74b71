"""Open-circuit volts of every winding against the fed one, at part of the flux that the unit was made for."""

from __future__ import annotations

from bench.acceptance.leads import Steps
from bench.survey.reading_context import ReadingContext
from bench.survey.volts_pairs import read_pairs

MAINS = True
FEEDS = True
CAUTIONED = False
WHAT = "open-circuit volts"

_STEP = "found:open"


def run(context: ReadingContext) -> Steps:
    full = context.full_flux_volts
    assert full is not None
    feed = context.feed(_STEP, _volts(context, context.rules["reading"]["first_power"][-1] * full), "variac")
    context.ratios |= yield from read_pairs(context, _STEP, feed, "Limiter out. ")
    yield from context.switch_off(_STEP)


def _volts(context: ReadingContext, wanted: float) -> float:
    """The wanted volts, or so many that the variac gives them and the meter bears the highest winding."""
    return min(wanted, context.most_fed_volts, context.most_read_volts / context.step_up)
