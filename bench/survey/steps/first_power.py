"""First power on a unit that nobody knows: through the limiter, from zero, and never past what it was made for."""

from __future__ import annotations

from bench.acceptance.cautions import Hazard
from bench.acceptance.leads import Steps
from bench.acceptance.requests import Confirm
from bench.survey.limiter_share import least_share
from bench.survey.reading_context import ReadingContext
from bench.survey.volts_pairs import holds_down, read_volts

MAINS = True
FEEDS = True
CAUTIONED = True
WHAT = "first power through the limiter"

_STEP = "found:first_power"
_HIGH = 300.0


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
    nominal = context.nominal_volts
    assert nominal is not None
    bar = ""
    for one in rising:
        feed = context.feed(_STEP, one, "variac", limiter=True)
        reading = yield from read_volts(context, _STEP, fed, feed, f"Voltmeter on {fed.name}.", volts)
        limiter = context.equipment.limiter
        least = least_share(context.job, context.found, limiter, one, nominal, context.hertz, context.rules)
        bar = holds_down(context, feed, reading, least)
        if bar:
            bar += f"; {least * 100:.0f} % or more is what a good core leaves: a lamp of more watts tells"
        if bar and (reading.value or 0.0) < float(rules["shorted"]) * one:
            break  # more volts would only heat what is shorted
    yield from context.switch_off(_STEP)
    if bar:
        context.mains_bars.append(bar)
        yield from context.note(bar, winding=fed.name)
