"""First power on a unit that nobody knows: through the limiter, from zero, and never past what it was made for."""

from __future__ import annotations

from bench.acceptance.cautions import Hazard
from bench.acceptance.leads import Steps
from bench.acceptance.requests import Confirm
from bench.survey.reading_context import ReadingContext
from bench.survey.volts_pairs import holds_down, read_volts

MAINS = True
FEEDS = True
CAUTIONED = True
WHAT = "first power through the limiter"

_STEP = "found:first_power"
_HIGH = 300.0
_SHORTED = 0.5
"""Share of the volts below which more would only heat what is shorted."""


def run(context: ReadingContext) -> Steps:
    full = context.full_flux_volts
    assert full is not None
    rules = context.rules["reading"]
    fed = context.fed_span
    rising = [min(share * full, context.most_fed_volts) for share in rules["first_power"]]
    volts = rising[-1]
    high = [Hazard.HIGH_VOLTS] if volts * context.step_up > _HIGH else []
    yield Confirm(
        _STEP,
        f"Core, band and screen earthed, every end but those of {fed.name} covered, "
        f"{context.equipment.limiter.words} in the live side. Up to {volts:.0f} V on {fed.name}; the most on any "
        f"terminal is then {volts * context.step_up:.0f} V.",
        context.cautions.of(Hazard.MAINS, *high),
    )
    bar = ""
    for one in rising:
        feed = context.feed(_STEP, one, "variac", limiter=True)
        reading = yield from read_volts(context, _STEP, fed, feed, f"Voltmeter on {fed.name}.", volts)
        bar = holds_down(context, feed, reading, float(rules["least"]))
        if bar and (reading.value or 0.0) < _SHORTED * feed.volts:
            break
    yield from context.switch_off(_STEP)
    if bar:
        bar += "; a large core behind a small lamp does the same: a lamp of more watts tells"
        context.mains_bars.append(bar)
        yield from context.note(bar, winding=fed.name)
