"""The list of readings that a job's unit should give, on the bench and on load."""

from __future__ import annotations

import math

import pytest

from bench.design.loaded import NotOnLoad, job_loads, loaded_unit
from bench.design.readings import foreseen
from bench.job.expected_reading import Foreseen, Kind
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job, load_table
from bench.magnetics.load import RectifierLoad, ResistiveLoad
from bench.survey.evidence import count_of
from bench.survey.old_windings import job_as_found, turns_within
from bench.whole_test import rules_named

RULES = rules_named()
RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))


def _row(rows: tuple[Foreseen, ...], kind: Kind, of: str, at: str = "") -> Foreseen:
    return next(one for one in rows if (one.kind, one.of) == (kind, of) and one.at.startswith(at))


def test_every_winding_has_its_ohms_its_ratio_and_its_open_volts() -> None:
    rows = foreseen(OPENER, RULES).rows
    ratio = _row(rows, Kind.RATIO, "supply24")
    assert ratio.value == pytest.approx(190 / 1620)
    open_volts = _row(rows, Kind.OPEN_CIRCUIT, "supply24")
    assert open_volts.value == pytest.approx(230 * 190 / 1620, rel=0.01)
    assert open_volts.value < 230 * 190 / 1620
    assert _row(rows, Kind.RESISTANCE, "primary").u > 0


def test_sums_and_differences_are_those_of_the_turns() -> None:
    rows = foreseen(RECEIVER, RULES).rows
    assert _row(rows, Kind.SERIES_SUM, "heater").value == pytest.approx(1 + 19 / 662)
    assert _row(rows, Kind.SERIES_DIFFERENCE, "heater").value == pytest.approx(1 - 19 / 662)


def test_the_drop_on_load_is_about_what_ohms_and_amps_say() -> None:
    # By hand: 3.23 ohm and 150.8 ohm x (190 / 1620)^2, warm (x 1.157), at half an ampere.
    rows = foreseen(OPENER, RULES).rows
    spans = {one.of: one.value for one in rows if one.kind is Kind.RESISTANCE}
    ratio = 190 / 1620
    ohms = 1.157 * (spans["supply24"] + spans["primary"] * ratio**2)
    loaded = _row(rows, Kind.ON_LOAD, "supply24", "230 V").value
    open_volts = _row(rows, Kind.OPEN_CIRCUIT, "supply24").value
    amps = _row(rows, Kind.LOAD_CURRENT, "supply24", "230 V").value
    assert open_volts - loaded == pytest.approx(ohms * amps, rel=0.05)


def test_a_rectifier_load_gives_rails_at_low_nominal_and_high_mains_and_more_amps_than_the_direct_ones() -> None:
    rows = foreseen(RECEIVER, RULES).rows
    rails = [one.value for one in rows if one.kind is Kind.RAIL]
    assert len(rails) == 3
    assert rails == sorted(rails)
    assert rails[2] / rails[0] == pytest.approx(1.1 / 0.9, rel=0.05)
    # Each half carries the direct current in turn, in peaks: its RMS lies over half of sqrt(2) times it.
    assert _row(rows, Kind.LOAD_CURRENT, "ht", "230 V").value > 0.045


def test_secondaries_without_a_load_of_their_own_feed_what_their_rating_says() -> None:
    loads = job_loads(RECEIVER)
    assert [type(one) for one in loads] == [RectifierLoad, ResistiveLoad, ResistiveLoad]
    assert loads[1].winding == "rectifier"
    assert isinstance(loads[1], ResistiveLoad)
    assert loads[1].resistance == pytest.approx(2.5)


def test_a_job_without_ratings_has_no_readings_on_load() -> None:
    bare = OPENER.model_copy(
        update={"winding": tuple(one.model_copy(update={"rated_current": None}) for one in OPENER.winding)}
    )
    with pytest.raises(NotOnLoad, match=r"no \[\[load\]\], and no secondary with rated_voltage and rated_current"):
        loaded_unit(bare, RULES)
    found = foreseen(bare, RULES)
    assert not any(one.kind is Kind.ON_LOAD for one in found.rows)
    assert found.left_out == ("nothing on load: no [[load]], and no secondary with rated_voltage and rated_current",)


def test_more_copper_doubt_is_more_doubt_of_the_volts_on_load() -> None:
    wide = {**RULES, "assembly": {**RULES["assembly"], "u_log_mean_turn": 0.10}}
    narrow = _row(foreseen(OPENER, RULES).rows, Kind.ON_LOAD, "supply24", "230 V")
    assert _row(foreseen(OPENER, wide).rows, Kind.ON_LOAD, "supply24", "230 V").u > 2 * narrow.u


def test_the_windings_as_found_have_their_own_readings_with_the_doubt_of_their_counts() -> None:
    assert RECEIVER.as_found is not None
    counts = load_table("limits", "survey")["count"]
    counted = tuple(
        count_of(one.name, one.turns, counts, one.turns_within) for one in RECEIVER.as_found.winding if one.turns
    )
    old = job_as_found(RECEIVER, RECEIVER.as_found, counted)
    assert isinstance(old, Job)
    assert old.supply is not None
    assert (old.supply.voltage, old.supply.frequency) == (117.0, 60.0)
    rows = foreseen(old, RULES, turns_within(counted)).rows
    ratio = _row(rows, Kind.RATIO, "ht")
    assert ratio.value == pytest.approx(1292 / 280)
    assert ratio.u == pytest.approx(ratio.value * math.hypot(2 / 1292, 0.5 / 280) / math.sqrt(3), rel=0.01)
    # As read before it was stripped: 3.42 ohm and 176.1 ohm at 20.9 degC; the build is a guess to some percent.
    assert _row(rows, Kind.RESISTANCE, "primary").value == pytest.approx(3.41, rel=0.1)
    assert _row(rows, Kind.RESISTANCE, "ht").value == pytest.approx(175.5, rel=0.1)


def test_a_winding_that_is_not_counted_leaves_the_old_readings_open() -> None:
    assert RECEIVER.as_found is not None
    windings = tuple(one.model_copy(update={"turns": None}) for one in RECEIVER.as_found.winding)
    found = RECEIVER.as_found.model_copy(update={"winding": windings})
    assert job_as_found(RECEIVER, found, ()) is None
