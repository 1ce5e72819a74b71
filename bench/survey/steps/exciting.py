"""Exciting current, rising, at this supply's frequency: amps first, so that it ends at the knee; then the volts."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from bench.acceptance.leads import Steps
from bench.acceptance.requests import Confirm, Connect, Excite, Request, Skipped
from bench.estimate import Estimate
from bench.survey.reading_context import ReadingContext, written
from bench.survey.volts_pairs import read_volts
from drivers.reading import Quantity, State

MAINS = True
FEEDS = True
CAUTIONED = False
WHAT = "exciting current"

_STEP = "found:exciting"
_RESISTOR_PART = 0.7
"""Of its watts at which the rise ends: the next step takes more."""
_U_REPEAT = 0.003
"""Of a variac that is set twice to the same mark, standard (common practice, no source)."""


def run(context: ReadingContext) -> Steps:
    """The volts are read at settings at which the amps were, on a second pass: the leads move twice."""
    way = _ammeter(context) or _resistor(context)
    if way is None:
        context.skip(WHAT, "this meter does not read alternating current, and the bench file has no known resistor")
        return
    amps: dict[float, Estimate] = {}
    try:
        yield from _rise(context, way, amps)
    except Skipped as reason:
        context.skip(WHAT, reason)
    yield from context.switch_off(_STEP)
    if not amps:
        return
    try:
        yield from _volts(context, way, amps)
    except Skipped as reason:
        context.skip(f"volts of the {WHAT}", reason)
    yield from context.switch_off(_STEP)


class _Way:
    """How the current is read: where the meter goes, what lies in series, amps for what it shows."""

    def __init__(self, place: Connect, ohms: Estimate | None) -> None:
        self.place = place
        self.ohms = ohms

    def feed(self, context: ReadingContext, volts: float) -> Excite:
        series = None if self.ohms is None else self.ohms.value
        return context.feed(f"{_STEP}:{volts:.3g}", volts, "variac", series_ohms=series)


def _ammeter(context: ReadingContext) -> _Way | None:
    if Quantity.CURRENT_AC not in context.equipment.quantities:
        return None
    fed = context.fed_span
    place = Connect(
        _STEP,
        Quantity.CURRENT_AC,
        "supply.live",
        fed.from_terminal,
        winding=fed.winding,
        text=f"Limiter out. Ammeter in place of the wire from the supply to {fed.from_terminal}; others open.",
    )
    return _Way(place, None)


def _resistor(context: ReadingContext) -> _Way | None:
    ohms, fed = context.equipment.series_ohms, context.fed_span
    if ohms is None:
        return None
    place = Connect(
        _STEP,
        Quantity.VOLTAGE_AC,
        "resistor.supply",
        "resistor.winding",
        winding=fed.winding,
        text=f"Limiter out. {ohms:g} ohm in series with {fed.name}; voltmeter across the resistor.",
    )
    return _Way(place, Estimate(ohms, {"series resistor": ohms * context.equipment.series_tolerance / 3**0.5}))


def _rise(context: ReadingContext, way: _Way, amps: dict[float, Estimate]) -> Steps:
    """Amps by the volts set; ends where they grow `knee` times as much as the volts did: a gapped core is no knee."""
    rules = context.rules["reading"]
    settings = _settings(context)
    if not settings:
        context.skip(WHAT, "a quarter of the volts is more than the variac gives, or more than this meter bears")
    for volts in settings:
        if _heated(way, amps) > _RESISTOR_PART * context.resistor_watts:
            context.skip(f"{WHAT} from {volts:.3g} V on", f"the resistor bears {context.resistor_watts:g} W")
            return
        if volts > rules["curve"][-1] * (context.full_flux_volts or 0.0) and not _any_beyond(context, amps):
            yield from context.switch_off(_STEP)
            yield Confirm(
                _STEP,
                "Beyond the flux that the unit was made for, up to the volts of its plate: the knee shows there, the "
                "current grows fast, the core hums. To skip leaves the curve as it is.",
            )
        yield from context.connect(way.place)
        yield from context.excite(way.feed(context, volts))
        reading = yield from context.take(f"{_STEP}:{volts:.3g}", way.place.quantity, None, samples=2)
        if reading.state is not State.GOOD or not reading.value or reading.value < 0:
            context.skip(f"{WHAT} at {volts:.3g} V", f"the meter reads {reading.state}, {reading.value}")
            return
        read = Estimate.of(reading)
        before = list(amps.items())
        amps[volts] = read if way.ohms is None else read / way.ohms
        if before and amps[volts].value / before[-1][1].value > rules["knee"] * volts / before[-1][0]:
            return


def _heated(way: _Way, amps: dict[float, Estimate]) -> float:
    """Watts in the known resistor at the last point."""
    return 0.0 if way.ohms is None or not amps else list(amps.values())[-1].value ** 2 * way.ohms.value


def _settings(context: ReadingContext) -> list[float]:
    """Volts to set, rising: shares of those of full flux, then of the plate's where the supply's frequency is lower."""
    full, nominal = context.full_flux_volts, context.nominal_volts
    assert full is not None
    assert nominal is not None
    rules = context.rules["reading"]
    most = 1.0001 * min(rules["beyond"][-1] * nominal, context.most_read_volts, context.most_fed_volts)
    usual = [share * full for share in rules["curve"] if share * full <= most]
    highest = 1.01 * max(usual, default=0.0)
    beyond = [share * nominal for share in rules["beyond"] if highest < share * nominal <= most]
    return [*usual, *(beyond if full < nominal * 0.999 else [])]


def _any_beyond(context: ReadingContext, amps: dict[float, Estimate]) -> bool:
    return any(volts > context.rules["reading"]["curve"][-1] * (context.full_flux_volts or 0.0) for volts in amps)


def _volts(context: ReadingContext, way: _Way, amps: dict[float, Estimate]) -> Generator[Request, Any, None]:
    fed, anew = context.fed_span, True
    for setting, current in amps.items():
        feed = way.feed(context, setting)
        reading = yield from read_volts(context, _STEP, fed, feed, f"Wire back. Voltmeter on {fed.name}.", max(amps))
        if reading.state is not State.GOOD or not reading.value:
            context.skip(f"{WHAT} at {setting:.3g} V", f"the voltmeter reads {reading.state}")
            continue
        body = {
            "part": "exciting",
            "fed": fed.name,
            "frequency": f"{context.hertz:g} Hz",
            "voltage": written(Estimate.of(reading).also("variac set twice", _U_REPEAT * reading.value), "V"),
            "current": written(current, "A"),
            **({"anew": True} if anew else {}),
        }
        anew = False
        yield from context.keep(f"{WHAT} at {setting:.3g} V", body)
