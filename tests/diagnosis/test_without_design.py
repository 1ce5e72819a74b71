"""What readings as found and a nameplate tell without a design: each fault from readings worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scipy.optimize import brentq

from bench.diagnosis.without_design.core_change import Change, Taken, as_it_was, taken
from bench.diagnosis.without_design.diagnosis import NothingToCompare, Told, WithoutDesign
from bench.diagnosis.without_design.known import known_of
from bench.diagnosis.without_design.readings import read_all
from bench.job.model import Job
from bench.whole_test import rules_named

PRIORS = rules_named()["priors"]
# physicsforums.com, showthread 2451198, as found.
CURVE = [{"voltage": "120 V", "current": "78.7 mA", "power": "1.65 W"}]
PRIMARY = {"name": "primary", "role": "primary"}
OPENED = ("amps=180 mA@120 V", "watts=2.54 W@120 V")


def _job(found: dict[str, Any] | None = None, **changed: Any) -> Job:
    as_found = {"fed": "primary", "frequency": "60 Hz", "winding": [PRIMARY], "exciting": CURVE, **(found or {})}
    body = {
        "schema": 1,
        "identity": {"number": "TP-0300"},
        "supply": {"voltage": "120 V", "frequency": "60 Hz"},
        "winding": [{**PRIMARY, "resistance": "33.2 ohm"}],
        "as_found": as_found,
    }
    return Job.model_validate(body | changed)


def _with_two_secondaries(**found: Any) -> Job:
    windings = [
        {**PRIMARY, "nameplate_voltage": "120 V"},
        {"name": "ht", "role": "secondary", "nameplate_voltage": "250 V"},
        {"name": "heater", "role": "secondary", "nameplate_voltage": "6.3 V"},
    ]
    return _job({"winding": windings, "label_power": "30 VA", **found})


VOLTS = [
    {"fed": "primary", "fed_voltage": "120.0 V", "winding": "ht", "voltage": "280.0 V"},
    {"fed": "primary", "fed_voltage": "120.0 V", "winding": "heater", "voltage": "7.100 V"},
]


def _told(job: Job, *readings: str) -> Told:
    return WithoutDesign(job, PRIORS)(read_all(readings, known_of(job), {}), 0.02)


def _first(told: Told) -> tuple[str, str]:
    return told.findings[0].fault, told.findings[0].winding


def test_probabilities_add_up_to_one() -> None:
    job = _job()
    told = WithoutDesign(job, PRIORS)(read_all(OPENED, known_of(job), {}), 0.0)
    assert told.good + told.not_shown + sum(one.probability for one in told.findings) == pytest.approx(1.0)


def test_reactive_current_up_and_core_loss_flat_is_a_gap() -> None:
    told = _told(_job(), *OPENED)
    assert _first(told) == ("core_gap", "")
    assert told.findings[0].probability > 0.5


def test_the_ohms_may_be_typed_instead_and_without_them_it_is_less_sure() -> None:
    no_ohms = _job(winding=[PRIMARY])
    typed, guessed = _told(no_ohms, *OPENED, "ohms:primary=33.2 ohm"), _told(no_ohms, *OPENED)
    assert _first(typed) == _first(guessed) == ("core_gap", "")
    assert guessed.findings[0].probability < typed.findings[0].probability
    assert any("ohms of primary not known" in line for line in guessed.not_told)


def test_with_turns_and_core_the_length_of_the_gap_is_told() -> None:
    core = {"lamination": "EI 66", "stack": "27.6 mm"}
    told = _told(_job(core=core, winding=[{**PRIMARY, "turns": 662, "resistance": "33.2 ohm"}]), *OPENED)
    # tests/published/test_opened_joint.py: 0.05 mm in a joint that the flux crosses twice.
    assert float(told.findings[0].size.split()[0]) == pytest.approx(0.10, rel=0.1)
    assert not any("length of the gap" in line for line in told.not_told)


def test_small_changes_are_nothing() -> None:
    told = _told(_job(), "amps=82 mA@120 V", "watts=1.70 W@120 V")
    assert told.good > 0.5
    assert told.findings[0].probability < 0.1


def test_watts_in_phase_are_a_loop_whose_kind_is_not_told() -> None:
    # 4 W more, 33 mA in phase: 84 mA of reactive current as found and a little, and 46 mA working.
    told = _told(_job(), "amps=91 mA@120 V", "watts=5.72 W@120 V")
    named = [one.fault for one in told.findings]
    assert named[0] == "turns_shorted"
    assert {"screen_closed", "laminations_bridged"} <= set(named)
    assert "core_gap" not in named
    assert any("told apart by how many watts" in line for line in told.not_told)


def test_current_without_watts_does_not_choose_between_gap_and_loop() -> None:
    told = _told(_job(), OPENED[0])
    named = {one.fault for one in told.findings}
    assert {"core_gap", "turns_shorted"} <= named
    assert told.next is not None
    assert told.next.step == "watts at 120 V on primary"


def test_all_secondaries_off_by_the_same_share_is_the_primary_or_its_volts() -> None:
    told = _told(_with_two_secondaries(volts=VOLTS), "volts:ht=267.4 V@120.0 V", "volts:heater=6.780 V@120.0 V")
    assert _first(told) == ("turns_wrong", "primary")
    assert told.findings[0].size.startswith("about 4.6% more turns")  # 280/267.4 and 7.100/6.780 are 1.047
    assert (told.findings[1].fault, told.findings[1].size) == ("reading_wrong", "120 V on primary")


def test_one_secondary_off_is_its_own() -> None:
    told = _told(_with_two_secondaries(volts=VOLTS), "volts:ht=267.4 V@120.0 V", "volts:heater=7.100 V@120.0 V")
    assert _first(told) == ("turns_wrong", "ht")


def test_one_ratio_alone_leaves_the_primary_as_likely() -> None:
    told = _told(_with_two_secondaries(volts=VOLTS), "volts:ht=267.4 V@120.0 V")
    shares = {one.winding: one.probability for one in told.findings if one.fault == "turns_wrong"}
    assert shares["ht"] == pytest.approx(shares["primary"], rel=1e-6)
    assert any("with one ratio nobody can tell" in line for line in told.not_told)


def test_a_nameplate_holds_under_load_so_that_a_tenth_more_is_nothing() -> None:
    job = _with_two_secondaries()
    good = _told(job, "volts:ht=285 V@120 V", "volts:heater=7.2 V@120 V")
    assert good.good > 0.5
    assert _told(job, "volts:ht=285 V@120 V", "volts:heater=9.0 V@120 V").good < 0.1


@pytest.mark.parametrize("reading", ["ohms:ht=OL", "ohms:ht=inf"])
def test_no_ohms_is_open(reading: str) -> None:
    told = _told(_with_two_secondaries(), reading)
    assert _first(told) == ("winding_open", "ht")
    assert told.good < 0.01


def test_ohms_of_a_fine_joint_as_found_are_nothing_and_a_half_more_is_something() -> None:
    job = _with_two_secondaries(resistance=[{"winding": "ht", "resistance": "310 ohm"}])
    assert _told(job, "ohms:ht=318 ohm").good > 0.5
    assert {one.fault for one in _told(job, "ohms:ht=465 ohm").findings} >= {"joint_poor", "wire_wrong"}


def test_a_dead_winding_reads_no_volts() -> None:
    told = _told(_with_two_secondaries(volts=VOLTS), "volts:ht=0.0 V@120.0 V", "ohms:ht=OL")
    assert _first(told) == ("winding_open", "ht")
    assert told.findings[0].probability > 0.95


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"found": {"core_kept": False}}, "other laminations are in now"),
        ({"supply": {"voltage": "120 V", "frequency": "50 Hz"}}, "it was read at 60 Hz, the supply has 50 Hz"),
        ({"made_for": {"voltage": "230 V", "frequency": "60 Hz"}}, "other volts than it was made for"),
    ],
)
def test_a_curve_that_says_nothing_of_the_unit_now_is_left_out(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(NothingToCompare, match=words):
        _told(_job(**changed), *OPENED)


def test_the_curve_is_taken_to_the_turns_of_now() -> None:
    found = {"winding": [{**PRIMARY, "turns": 600}]}
    (point,) = known_of(_job(found, winding=[{**PRIMARY, "turns": 660}])).curve
    # The same volts a turn and the same ampere turns.
    assert (point.voltage, point.current, point.power) == pytest.approx((132.0, 0.0787 / 1.1, 1.65))


def test_between_two_points_it_goes_straight_in_logarithms() -> None:
    points = [{"voltage": "60 V", "current": "40 mA", "power": "0.4 W"}, *CURVE]
    was = as_it_was(known_of(_job({"exciting": points})).curve, math.sqrt(60.0 * 120.0))
    assert was is not None
    assert was.current == pytest.approx(math.sqrt(0.040 * 0.0787))
    assert was.watts == pytest.approx(math.sqrt(0.4 * 1.65))
    assert was.u_log_current > 0.1  # a knee may lie between


def test_air_adds_reactive_current_and_only_the_copper_heats_more() -> None:
    was = as_it_was(known_of(_job()).curve, 120.0)
    assert was is not None

    def opened(gap: float) -> Taken:
        return taken(was, Change(gap=gap), was, (33.2, 33.2), 0.25)

    # The air that takes the published current; the published watts then come out by themselves.
    gap = brentq(lambda air: opened(air).current - 0.180, 1.0, 2.0)
    assert gap == pytest.approx(0.1018 / 0.0778, rel=0.01)
    assert opened(gap).watts == pytest.approx(2.54, rel=0.01)


# A unit for 230 V that took 100 mA and 9 W.
MAINS = [{"voltage": "230 V", "current": "100 mA", "power": "9 W"}]


def _for_230(*, ohms: str | None = None, **changed: Any) -> Job:
    supply = {"voltage": "230 V", "frequency": "50 Hz"}
    primary = PRIMARY if ohms is None else {**PRIMARY, "resistance": ohms}
    return _job({"frequency": "50 Hz", "exciting": MAINS}, supply=supply, **{"winding": [primary], **changed})


def _share(told: Told, fault: str, winding: str | None = None) -> float:
    return sum(one.probability for one in told.findings if one.fault == fault and winding in (None, one.winding))


@pytest.mark.parametrize("ohms", [None, "25 ohm"])
def test_a_winding_that_takes_current_is_not_open(ohms: str | None) -> None:
    told = _told(_for_230(ohms=ohms), "amps=5 A@230 V", "watts=150 W@230 V")
    assert _share(told, "winding_open") == 0.0


def test_a_fed_winding_that_takes_next_to_nothing_still_is() -> None:
    assert _first(_told(_for_230(), "amps=0.30 mA@230 V")) == ("winding_open", "primary")


def test_a_secondary_is_told_against_what_it_was_compared_with_whatever_the_fed_one_has() -> None:
    def size(job: Job, volts: str) -> str:
        told = _told(job, f"volts:heater={volts}@120.0 V")
        return next(one.size for one in told.findings if (one.fault, one.winding) == ("turns_wrong", "heater"))

    assert size(_with_two_secondaries(), "8.20 V").endswith("more turns than the nameplate asks for")
    assert size(_with_two_secondaries(volts=VOLTS), "7.45 V").endswith("more turns than it had")


@pytest.mark.parametrize("typed", ["0 V", "0.0 V"])
def test_no_volts_are_repeated_as_no_volts(typed: str) -> None:
    told = _told(_with_two_secondaries(volts=VOLTS), f"volts:ht={typed}@120.0 V")
    assert told.compared[0].startswith("volts of ht at 120 V: 0 V, as found 280.0 V")


def _with_a_centre_tap() -> Job:
    windings = [
        {**PRIMARY, "nameplate_voltage": "120 V"},
        {"name": "ht", "role": "secondary", "nameplate_voltage": "500 V", "taps": [{"name": "centre"}]},
    ]
    return _job({"winding": windings})


@pytest.mark.parametrize(
    ("readings", "opened"),
    [
        (("ohms:ht=OL", "ohms:ht.centre=OL", "ohms:ht.finish=120 ohm"), "ht.centre"),
        (("ohms:ht=OL", "ohms:ht.centre=120 ohm", "ohms:ht.finish=OL"), "ht.finish"),
        (("ohms:ht=OL", "ohms:ht.finish=OL"), "ht.finish"),
        (("volts:ht=0 V@120 V", "ohms:ht.finish=OL"), "ht.finish"),
        (("ohms:ht=OL", "ohms:ht.centre=OL", "ohms:ht.finish=OL"), "ht"),
    ],
)
def test_a_section_that_is_open_explains_its_winding(readings: tuple[str, ...], opened: str) -> None:
    told = _told(_with_a_centre_tap(), *readings)
    assert _first(told) == ("winding_open", opened)
    assert told.findings[0].probability > 0.9


@pytest.mark.parametrize("open_one", ["ht", "ht.centre"])
def test_a_winding_open_whose_sections_are_whole_is_no_open_winding(open_one: str) -> None:
    ohms = {"ht": "240 ohm", "ht.centre": "120 ohm", "ht.finish": "120 ohm", open_one: "OL"}
    told = _told(_with_a_centre_tap(), *(f"ohms:{name}={value}" for name, value in ohms.items()))
    assert _first(told)[0] == "reading_wrong"


LOOP_OR_GAP = {"turns_shorted", "screen_closed", "core_gap"}


def test_a_current_of_several_times_is_no_misread_mains() -> None:
    for ohms in (None, "25 ohm"):
        for amps in ("0.8 A", "3 A"):
            told = _told(_for_230(ohms=ohms), f"amps={amps}@230 V")
            assert told.findings[0].fault in LOOP_OR_GAP
            assert _share(told, "reading_wrong") < 0.1


def test_a_loop_has_no_end_but_the_ohms_of_the_fed_winding() -> None:
    told = _told(_for_230(ohms="25 ohm"), "amps=3 A@230 V", "watts=600 W@230 V")
    assert _share(told, "turns_shorted") + _share(told, "screen_closed") > 0.95
    # 600 W less 9 W as found, at the terminals.
    assert float(told.findings[0].size.split()[1]) == pytest.approx(591, rel=0.1)
    was = as_it_was(known_of(_for_230()).curve, 230.0)
    assert was is not None
    endless = taken(was, Change(loop=1e9), was, (25.0, 25.0))
    assert (endless.current, endless.watts) == pytest.approx((230 / 25, 230**2 / 25), rel=0.01)


def test_with_no_change_it_takes_what_it_took() -> None:
    was = as_it_was(known_of(_for_230()).curve, 230.0)
    assert was is not None
    same = taken(was, Change(), was, (25.0, 25.0))
    assert (same.current, same.watts) == pytest.approx((0.100, 9.0))


def test_volts_far_from_nominal_may_be_misread_by_more() -> None:
    points = [{"voltage": "60 V", "current": "30 mA", "power": "0.8 W"}]
    supply = {"voltage": "230 V", "frequency": "50 Hz"}
    job = _job({"frequency": "50 Hz", "exciting": points}, supply=supply, winding=[PRIMARY])
    # 60 V written down for 99 V, by the slopes of a usual core: 26.9 mA x 1.65^3.5 reactive, 0.8 W x 1.65^2.1.
    told = _told(job, "amps=159 mA@60 V", "watts=2.29 W@60 V")
    assert _first(told) == ("reading_wrong", "primary")
    assert told.findings[0].size == "60 V on primary"


@pytest.mark.parametrize("readings", [("watts=40 W@230 V",), ("amps=150 mA@230 V", "watts=28 W@230 V")])
def test_a_likely_short_is_settled_before_mains(readings: tuple[str, ...]) -> None:
    told = _told(_for_230(), *readings)
    assert _first(told) == ("turns_shorted", "")
    assert told.next is not None
    assert told.next.step.startswith("watts at a few volts again")
    assert "no mains before this is settled" in told.next.why


@pytest.mark.parametrize("amps", ["0.8 A", "3 A"])
@pytest.mark.parametrize("watts", [(), ("watts=12 W@230 V",)])
def test_at_several_times_the_current_no_more_volts_are_put_on(amps: str, watts: tuple[str, ...]) -> None:
    told = _told(_for_230(ohms="25 ohm"), f"amps={amps}@230 V", *watts)
    assert told.next is not None
    assert told.next.step.startswith("no more volts on primary than a few")
    for one in (told.next.step, *(finding.check for finding in told.findings)):
        assert not any(words in one for words in ("half the volts", "the same reading", "230 V", "core watts"))


def test_ohms_are_taken_again_whatever_the_current() -> None:
    job = _for_230(ohms="25 ohm")
    readings = ("amps=150 mA@230 V", "watts=28 W@230 V", "ohms:primary=25 ohm")
    told = WithoutDesign(job, PRIORS)(read_all(readings, known_of(job), {}), 0.0)
    checks = {one.size: one.check for one in told.findings if one.fault == "reading_wrong"}
    assert checks["resistance of primary"] == "put the leads on anew and take the same reading again"
    assert checks["watts at 230 V"] == "put the leads on anew, and take current and watts at a few volts"


def test_mains_stays_the_advice_where_no_short_is_likely() -> None:
    told = _told(_for_230(), "watts=9.2 W@230 V")
    assert told.next is not None
    assert told.next.step == "exciting current at 230 V on primary"
