"""The unit's drawing: every lead once, lines that end where they should, nothing that lies over a name."""

from __future__ import annotations

import itertools

import pytest

from bench.acceptance.dry_bench import DryBench
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, StepDone, Take, Wait
from bench.dashboard.acceptance.diagram.places import Box, Places, places_of
from bench.dashboard.acceptance.diagram.rig import Part, Rig
from bench.dashboard.acceptance.diagram.routes import Kind, Routes, routes_of
from bench.job.model import Job
from bench.job.winding import Lead, Role, Screen, Tap, Winding
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import LOADS, new_procedure
from tests.campaigns.decisions.population import JOBS, job_named

ROOMS = [(524.0, 410.0), (430.0, 330.0), (900.0, 620.0)]
NEAR = 7.0
"""A wire meets a terminal within so many pixels of its middle, in a drawing of the size designed for."""


def _many_leads() -> Job:
    """Two tapped primaries' worth of leads, six secondaries, two screens with both ends out."""
    leads = {"start": Lead(tag="12", colour="black-white"), "finish": Lead(tag="13", colour="green-yellow")}
    secondaries = tuple(
        Winding(name=f"second-{number}", role=Role.SECONDARY, turns=100, taps=(Tap(name="centre", turn=50),), **leads)
        for number in range(6)
    )
    taps = tuple(Tap(name=f"tap{turn}", turn=turn, lead=Lead(tag=str(turn), colour="red")) for turn in (200, 400))
    primary = Winding(name="mains", role=Role.PRIMARY, turns=600, taps=taps, **leads)
    screens = tuple(
        Screen(name=name, after="mains", lead=Lead(tag="E", colour="green-yellow"), far_lead=Lead(tag="T"))
        for name in ("inner", "outer")
    )
    return job_named("coastal-receiver").model_copy(update={"winding": (primary, *secondaries), "screen": screens})


def _jobs() -> dict[str, Job]:
    return {**{name: job_named(name) for name in JOBS}, "many": _many_leads()}


@pytest.fixture(scope="module", params=sorted(_jobs()))
def job(request: pytest.FixtureRequest) -> Job:
    return _jobs()[request.param]


def _rigs(job: Job, *, ammeter: bool) -> list[Rig]:
    """Every rig of a whole test on a dry bench."""
    quantities = frozenset(Quantity) if ammeter else frozenset(Quantity) - {Quantity.CURRENT_AC}
    equipment = {"quantities": quantities, "load_resistors": LOADS, "series_ohms": 100.0}
    procedure = new_procedure(job, **equipment)
    bench = DryBench(procedure.context.expectation)
    bench.run(procedure)
    rig, rigs = Rig(), []
    for request in bench.seen:
        if not isinstance(request, (Take, StepDone)):
            rig = rig.after(request)
            rigs.append(rig)
    return rigs


@pytest.fixture(scope="module")
def rigs() -> list[Rig]:
    """Of the coastal receiver, with an ammeter and with a resistor, and without either repeated."""
    job = job_named("coastal-receiver")
    return [*_rigs(job, ammeter=True), *_rigs(job, ammeter=False)]


def _ends(routes: Routes) -> set[str]:
    return {end for wire in routes.wires for end in wire.ends if end}


def _terminals(rig: Rig) -> set[str]:
    """What the request names."""
    named = {end for one in rig.meters for end in (one.from_terminal, one.to_terminal)}
    named |= {end for one in rig.meters for link in one.links for end in link}
    named |= {end for load in rig.loads for end in (load.from_terminal, load.to_terminal)}
    if rig.feed is not None:
        named |= {rig.feed.from_terminal, rig.feed.to_terminal}
    return named


def _meeting(places: Places, routes: Routes, name: str) -> list[tuple[float, float]]:
    """The ends of wires that say that they meet this terminal."""
    found = []
    for wire in routes.wires:
        if wire.ends[0] == name:
            found.append(wire.points[0])
        if wire.ends[1] == name:
            found.append(wire.points[-1])
    return found


def test_every_lead_of_the_job_is_drawn_once(job: Job) -> None:
    places = places_of(job, *ROOMS[0])
    wanted = {f"{winding.name}.{lead}" for winding in job.winding for lead in winding.lead_names}
    wanted |= {f"{screen.name}.lead" for screen in job.screen}
    wanted |= {f"{screen.name}.far_lead" for screen in job.screen if screen.far_lead is not None}
    assert set(places.spots) == wanted | {"core", "earth.lead"}
    middles = [(spot.x, spot.y) for spot in places.spots.values()]
    apart = min(abs(a[1] - b[1]) for a, b in itertools.combinations(middles, 2) if a[0] == b[0])
    assert apart >= 2 * places.radius


@pytest.mark.parametrize("room", ROOMS)
def test_no_two_labels_overlap_and_none_leaves_the_room(job: Job, room: tuple[float, float]) -> None:
    places = places_of(job, *room)
    whole = Box(0.0, 0.0, *room)
    outside = [
        label.words for label in places.labels
        if label.box.left < 0 or label.box.right > whole.right
        or label.box.top < 0 or label.box.bottom > whole.bottom + 1
    ]  # fmt: skip
    assert outside == []
    over = [(a.words, b.words) for a, b in itertools.combinations(places.labels, 2) if a.box.meets(b.box)]
    assert over == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_label_lies_over_a_terminal(job: Job, room: tuple[float, float]) -> None:
    places = places_of(job, *room)
    over = [
        (label.words, spot.name)
        for label, spot in itertools.product(places.labels, places.spots.values())
        if label.box.meets(Box(spot.x - places.radius, spot.y - places.radius, 2 * places.radius, 2 * places.radius))
    ]
    assert over == []


def test_every_lead_has_its_name_and_its_colour_in_words(job: Job) -> None:
    places = places_of(job, *ROOMS[0])
    for name, spot in places.spots.items():
        words = " ".join(label.words for label in places.labels if label.of == name)
        assert words
        assert spot.lead.colour in words


def test_a_drawing_does_not_move_from_one_step_to_the_next(job: Job) -> None:
    assert places_of(job, *ROOMS[0]) == places_of(job, *ROOMS[0])


@pytest.mark.parametrize("room", ROOMS)
def test_each_terminal_that_a_request_names_has_a_wire_that_ends_at_it(
    rigs: list[Rig], room: tuple[float, float]
) -> None:
    places = places_of(job_named("coastal-receiver"), *room)
    assert len(rigs) > 150
    for rig in rigs:
        routes = routes_of(rig, places)
        for name in _terminals(rig):
            ends = _meeting(places, routes, name)
            assert ends, f"{name} of {rig}"
            spot = places.spots.get(name)
            for x, y in ends if spot is not None else ():
                assert (x, y) == (pytest.approx(spot.x), pytest.approx(spot.y, abs=NEAR * places.scale))


def test_each_meter_has_two_clips_and_a_symbol(rigs: list[Rig]) -> None:
    places = places_of(job_named("coastal-receiver"), *ROOMS[0])
    for rig in rigs:
        routes = routes_of(rig, places)
        symbols = [one for one in routes.symbols if one.kind == Kind.METER]
        if rig.tester is None:
            assert len(symbols) == len(rig.meters)
            assert sum(wire.clip for wire in routes.wires) == 2 * len(rig.meters)


def test_every_wire_begins_and_ends_at_a_terminal_or_at_a_symbol(rigs: list[Rig]) -> None:
    places = places_of(job_named("coastal-receiver"), *ROOMS[0])
    for rig in rigs:
        routes = routes_of(rig, places)
        for wire in routes.wires:
            for name, point in zip(wire.ends, (wire.points[0], wire.points[-1]), strict=True):
                if not name and rig.tester is None:
                    reach = [
                        abs(((point[0] - one.x) ** 2 + (point[1] - one.y) ** 2) ** 0.5 - one.radius)
                        for one in routes.symbols
                    ]
                    assert min(reach) < 1.0, f"{wire} of {rig}"


def test_everything_that_is_joined_lies_in_the_room(rigs: list[Rig]) -> None:
    places = places_of(job_named("coastal-receiver"), *ROOMS[0])
    for rig in rigs:
        routes = routes_of(rig, places)
        points = [point for wire in routes.wires for point in wire.points]
        points += [(one.x + sign * one.radius, one.y) for one in routes.symbols for sign in (-1, 1)]
        assert all(0 <= x <= places.wide and 0 <= y <= places.high for x, y in points), rig


def test_symbols_do_not_lie_over_each_other_nor_over_a_name(rigs: list[Rig]) -> None:
    places = places_of(job_named("coastal-receiver"), *ROOMS[0])
    for rig in rigs:
        big = [one for one in routes_of(rig, places).symbols if one.kind in (Kind.METER, Kind.SOURCE, Kind.VARIAC)]
        boxes = [Box(one.x - one.radius, one.y - one.radius, 2 * one.radius, 2 * one.radius) for one in big]
        assert not any(a.meets(b) for a, b in itertools.combinations(boxes, 2)), rig
        assert not any(box.meets(label.box) for box in boxes for label in places.labels), rig


FEED = Excite("exciting:75", "primary", "primary.start", "primary.finish", 172.5, 50.0, "variac", hazard=405.0)
OFF = Excite("exciting", "primary", "primary.start", "primary.finish", 0.0, 50.0, "variac")
VOLTS = Connect("ratio:heater", Quantity.VOLTAGE_AC, "heater.start", "heater.finish")


def _after(*requests: Confirm | Connect | Enter | Excite | Load | Wait, at_once: bool = False) -> Rig:
    rig = Rig(at_once=at_once)
    for request in requests:
        rig = rig.after(request)
    return rig


def test_open_ends_of_a_live_unit_are_to_be_covered_and_joined_ones_are_not() -> None:
    places = places_of(job_named("coastal-receiver"), *ROOMS[0])
    routes = routes_of(_after(VOLTS, FEED), places)
    assert {"ht.start", "ht.centre", "ht.finish", "rectifier.start", "screen.far_lead"} <= set(routes.covered)
    assert not {"heater.start", "heater.finish", "primary.start", "primary.finish"} & set(routes.covered)


def test_a_few_volts_cover_nothing() -> None:
    low = Excite("ratio", "primary", "primary.start", "primary.finish", 7.6, 50.0, "low voltage", hazard=17.8)
    assert not _after(VOLTS, low).live
    assert routes_of(_after(VOLTS, low), places_of(job_named("coastal-receiver"), *ROOMS[0])).covered == ()


def test_volts_that_are_asked_to_zero_are_live_until_the_next_request() -> None:
    off = _after(VOLTS, FEED, OFF)
    assert (off.live, off.now, off.feed) == (True, Part.OFF, FEED)
    assert not off.after(VOLTS).live
    assert off.after(VOLTS).feed is None


def test_a_second_meter_stays_only_where_volts_and_amps_have_one_each() -> None:
    amps = Connect("exciting", Quantity.CURRENT_AC, "supply.live", "primary.start")
    assert _after(VOLTS, amps).meters == (amps,)
    assert _after(VOLTS, amps, at_once=True).meters == (VOLTS, amps)


def test_a_load_stays_until_it_is_taken_off() -> None:
    on = Load("loaded:heater", "heater", "heater.start", "heater.finish", 2.2, 2.9, 19.0)
    off = Load("load", "heater", "heater.start", "heater.finish", None)
    assert _after(on, FEED).loads == (on,)
    assert _after(on, FEED, OFF, off).loads == ()


def test_a_test_that_begins_anew_finds_nothing_on_the_unit() -> None:
    assert _after(VOLTS, FEED, Confirm("resumed", "volts at zero")) == Rig()


def test_the_tester_leaves_no_meter_on_and_ties_all_the_rest() -> None:
    ask = Enter("insulation:ht", Quantity.INSULATION_RESISTANCE, "", "Mohm", between=("ht", "rest"))
    rig = _after(VOLTS, ask)
    assert rig.meters == ()
    ends = _ends(routes_of(rig, places_of(job_named("coastal-receiver"), *ROOMS[0])))
    assert ends == {"ht.start", "primary.start", "rectifier.start", "heater.start", "screen.lead", "core"}


def test_core_and_screens_are_earthed_from_the_confirmation_on() -> None:
    rig = _after(Confirm("earthed", "join them"))
    assert (rig.earthed, rig.now) == (True, Part.EARTH)
    assert _after(Confirm("earthed", "join them"), VOLTS, FEED).earthed
