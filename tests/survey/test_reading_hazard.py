"""What must hold in every reading of any unit, whatever is told of it, skipped, read or typed: hypothesis drives it."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Request, Skipped, Stopped, Take, Trouble
from bench.job.as_found import AsFound
from bench.survey.reading import ReadingDone
from tests.survey.found_bench import FoundBench, Watch, new_reading
from tests.survey.units import a_job

_COURSE = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
_NAMES = ("primary", "ht", "heater", "bias")


@st.composite
def units(draw: st.DrawFn) -> tuple[AsFound, FoundBench]:
    """A unit of which plates and counts are told of some windings, truly; open volts lie up to 1.6 times above a plate.

    Its ohms are those that turns in about equal shares of a window have, to a factor of two in the copper.
    """
    names = _NAMES[: draw(st.integers(2, 4))]
    turns = {name: float(draw(st.integers(8, 4000))) for name in names}
    turns["primary"] = float(draw(st.integers(100, 3000)))
    volts_per_turn = 117.0 / turns["primary"]
    windings: list[dict[str, Any]] = []
    for name in names:
        one: dict[str, Any] = {"name": name, "role": "primary" if name == "primary" else "secondary"}
        told = draw(st.sampled_from(["plate", "count", "both", "nothing"]))
        if told in ("plate", "both"):
            rise = 1.0 if name == "primary" else draw(st.floats(1.0, 1.6))
            one["nameplate_voltage"] = f"{turns[name] * volts_per_turn / rise:.6g} V"
        if told in ("count", "both"):
            one["turns"] = turns[name]
        windings.append(one)
    # R = N^2 turn / (gamma S) with the share S of the copper that this winding has.
    ohms = {name: turns[name] ** 2 * 4.5e-5 * draw(st.floats(0.5, 2.0)) for name in names}
    more = draw(st.sampled_from([{}, {"fed": names[-1]}]))
    return AsFound.model_validate({"winding": windings, **more}), FoundBench(turns=turns, ohms=ohms)


@_COURSE
@given(units(), st.booleans())
def test_nothing_is_fed_above_25_v_on_any_winding_before_the_ratios_are_known(
    unit: tuple[AsFound, FoundBench], core_known: bool
) -> None:
    found, bench = unit
    job = a_job() if core_known else a_job(core={})
    reading = new_reading(found, job=job)
    watch = Watch(reading)
    request = reading.start()
    while not isinstance(request, ReadingDone):
        watch.see(request)
        if isinstance(request, Excite) and request.volts > 0 and request.source == "low voltage":
            assert request.hazard <= HANDS_OFF_VOLTS
            assert bench.highest(request) <= HANDS_OFF_VOLTS, f"{request.volts} V on {request.winding}"
        elif isinstance(request, Excite) and request.volts > 0:
            # What is said of the hazard, from ratios that were read, is what it truly is.
            assert bench.highest(request) <= request.hazard * 1.001
        request = reading.feed(bench.answer(request))
    watch.see(request)


@_COURSE
@given(st.permutations(_NAMES[:3]), st.sampled_from(["primary", "ht", "heater"]))
def test_with_the_leads_marked_in_any_way_no_mains_is_put_on_the_wrong_winding(order: list[str], fed: str) -> None:
    plates = {"primary": "117 V", "ht": "500 V", "heater": "6.3 V"}
    windings = [{"name": name, "nameplate_voltage": volts} for name, volts in plates.items()]
    windings[0]["role"] = "primary"
    turns, ohms = {"primary": 280.0, "ht": 1292.0, "heater": 16.0}, {"primary": 3.42, "ht": 176.0, "heater": 0.049}
    bench = FoundBench(turns=turns, ohms=ohms, leads=dict(zip(_NAMES[:3], order, strict=True)))
    reading = new_reading(AsFound.model_validate({"winding": windings, "fed": fed}))
    bench.run(reading)
    if any(name != true for name, true in bench.leads.items()):
        assert bench.feeds("variac") == []
    else:
        assert bench.feeds("variac")


def _answers() -> st.SearchStrategy[list[str]]:
    odd = st.sampled_from(["skip", "stop", "trouble", "overload", "tenfold", "nothing"])
    return st.lists(st.one_of(*[st.just("good")] * 20, odd), min_size=120, max_size=120)


@_COURSE
@given(_answers(), st.booleans())
def test_no_course_of_a_reading_moves_leads_on_a_live_unit_or_ends_with_it_live(course: list[str], told: bool) -> None:
    reading = new_reading(reason="known" if told else "")
    watch, bench = Watch(reading), FoundBench()
    request = reading.start()
    for kind in course:
        watch.see(request)
        if isinstance(request, ReadingDone):
            break
        request = reading.feed(_answer(bench, request, kind))
    while not isinstance(request, ReadingDone):
        watch.see(request)
        request = reading.feed(bench.answer(request))
    watch.see(request)


def _answer(bench: FoundBench, request: Request, kind: str) -> Any:
    usual = bench.answer(request)
    # Whoever stands at a live unit takes the volts off; that this may go unanswered too has its own test.
    off = (isinstance(request, Excite) and request.volts == 0) or isinstance(request, Confirm)
    match kind, request:
        case ("skip", Connect() | Excite() | Enter() | Take()) if not off:
            return Skipped("no instrument for it")
        case ("stop", Connect() | Excite() | Enter() | Take()) if not off:
            return Stopped("enough")
        case ("trouble", Take()):
            return Trouble("meter gone")
        case ("overload" | "tenfold" | "nothing", Take()):
            change = {"overload": math.inf, "tenfold": 10.0, "nothing": 1e-6}[kind]
            bench.change = lambda take, connect, value: None if math.isinf(change) else value * change
            spoilt = bench.answer(request)
            bench.change = lambda take, connect, value: value
            return spoilt
    return usual
