"""Volts say turns: against arithmetic of their own, with slips planted, and never over what a terminal may have."""

from __future__ import annotations

import dataclasses
import json
import math
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.design.plan import WindingPlan, plan_of
from bench.design.trial_ratio import SEARCH_COIL, Trial, trials
from bench.estimate import Estimate
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.job.winding import Sense
from bench.whole_test import rules_named
from bench.winding.check_values import Cause, Conclusion, Counted
from bench.winding.ratio_answer import RatioAnswer
from bench.winding.ratio_check import TrialVolts, before_and_after, check_ratio
from bench.winding.trial_limits import TooManyVolts, cautions, feed_volts, over_the_limit, series_volts
from drivers.accuracy import Accuracy
from drivers.hand import typed_reading
from drivers.reading import Quantity

RECEIVER = plan_of(read_job(example_job("coastal-receiver")))
OPENER = plan_of(read_job(example_job("gate-opener")))
TRIALS = [(plan, trial) for plan in (RECEIVER, OPENER) for trial in trials(plan, rules_named())]
EVERY = pytest.mark.parametrize(
    ("plan", "trial"), TRIALS, ids=[f"{plan.job.identity.number}-{trial.after}" for plan, trial in TRIALS]
)
COUNTS = {
    plan.job.identity.number: {one.name: Counted.exactly(one.winding.turns or 0) for one in plan.windings}
    for plan in (RECEIVER, OPENER)
}


def _trial(after: str, plan: WindingPlan = RECEIVER) -> Trial:
    return next(trial for of, trial in TRIALS if of is plan and trial.after == after)


def _volts(value: float, own: str, gain: float = 0.005, rounding: float = 0.0) -> Estimate:
    return Estimate(value, {"meter:gain": gain * value, own: rounding})


def _check(
    after: str,
    fed: float,
    read: dict[str, float],
    series: float | None = None,
    plan: WindingPlan = RECEIVER,
    rounding: float = 0.00003,
    counts: dict[str, Counted] | None = None,
) -> RatioAnswer:
    return check_ratio(
        plan,
        _trial(after, plan),
        TrialVolts(
            _volts(fed, "fed"),
            {name: _volts(value, f"of {name}", rounding=rounding) for name, value in read.items()},
            None if series is None else _volts(series, "series"),
        ),
        COUNTS[plan.job.identity.number] | (counts or {}),
    )


def _drop(trial: Trial, ratio: float) -> float:
    """What the fed winding loses, taken back out of what the sheet prints for each volt."""
    return 1 - trial.readings[0].per_volt / ratio


# Turns.


def test_three_turns_of_hook_up_wire_tell_a_winding() -> None:
    # 0.93 V on 3 turns at 76 V: a winding of 245 turns (physicsforums.com finding-transformer-turns.637642).  Here at a
    # quarter of the volts, and with what this trial's fed winding loses of them.
    counts = {SEARCH_COIL: Counted.exactly(3), "primary": Counted.exactly(243)}
    answer = _check("primary", 76 / 4, {SEARCH_COIL: 0.93 / 4}, counts=counts)
    drop = _drop(_trial("primary"), 10 / 662)
    assert 0.005 < drop < 0.02
    assert answer.of[0].says.turns / (1 - drop) == pytest.approx(245, abs=0.5)
    assert (answer.of[0].of, answer.of[0].by) == ("primary", SEARCH_COIL)


@EVERY
def test_what_the_sheet_says_is_read_agrees(plan: WindingPlan, trial: Trial) -> None:
    read = {one.of: one.per_volt * trial.volts for one in trial.readings}
    answer = check_ratio(
        plan,
        trial,
        TrialVolts(_volts(trial.volts, "fed"), {name: _volts(value, name) for name, value in read.items()}),
        COUNTS[plan.job.identity.number],
    )
    assert answer.conclusion is Conclusion.AGREES
    for one in answer.of:
        assert one.says.turns == pytest.approx(one.counted.turns, rel=1e-9)
        assert one.due == pytest.approx(one.volts, rel=1e-9)
        assert not one.causes
    assert answer.highest == pytest.approx(trial.highest)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(["rectifier", "heater"]), st.integers(-4, 4).filter(bool))
def test_turns_more_or_fewer_are_named(name: str, more: int) -> None:
    trial = _trial(name)
    turns = RECEIVER.winding(name).winding.turns or 0
    drop = _drop(trial, turns / 662)
    answer = _check(name, 10.0, {name: 10.0 * (turns + more) / 662 * (1 - drop)})
    assert answer.conclusion is Conclusion.DISAGREES
    found = answer.of[0].causes[0]
    assert (found.cause, found.size) == (Cause.TURNS, more)
    assert found.low <= more <= found.high


def test_half_a_turn_is_told_from_a_whole_one() -> None:
    drop = _drop(_trial("rectifier"), 15 / 662)
    answer = _check("rectifier", 10.0, {"rectifier": 10.0 * 15.5 / 662 * (1 - drop)})
    assert answer.of[0].causes[0].cause is Cause.HALF_TURN
    assert Cause.TURNS not in [one.cause for one in answer.of[0].causes]
    # A meter that rounds to 10 mV can't tell it: U is 0.38 turns.
    coarse = _check("rectifier", 10.0, {"rectifier": 10.0 * 15.5 / 662 * (1 - drop)}, rounding=0.01 / math.sqrt(12))
    assert Cause.HALF_TURN not in [one.cause for one in coarse.of[0].causes]


@settings(max_examples=40, deadline=None)
@given(st.sampled_from([(RECEIVER, "ht"), (OPENER, "supply24")]), st.sampled_from([-1, 1]), st.floats(-1, 1))
def test_a_layer_that_was_miscounted_is_named(which: tuple[WindingPlan, str], side: int, out: float) -> None:
    plan, name = which
    trial = _trial(name, plan)
    planned = plan.winding(name)
    true, full = planned.winding.turns or 0, max(layer.turns for layer in planned.layers)
    fed = plan.winding(trial.fed).winding.turns or 0
    assert trial.readings[0].u is not None
    u = trial.readings[0].u / trial.readings[0].per_volt
    ratio = true / fed * (1 - _drop(trial, true / fed)) * (1 + u * out)
    counted = {name: Counted.exactly(true - side * full)}
    answer = _check(name, trial.volts, {name: trial.volts * ratio}, plan=plan, counts=counted)
    assert answer.conclusion is Conclusion.DISAGREES
    expected = Cause.LAYER_DOUBLE if side > 0 else Cause.LAYER_MISSING
    assert answer.of[0].causes[0].cause is expected


def test_the_fed_windings_count_may_be_the_one_that_is_out() -> None:
    # 662 counted, 650 there: every winding reads 662/650 too much.
    drop = _drop(_trial("ht"), 1554 / 662)
    answer = _check("ht", 10.0, {"ht": 10.0 * 1554 / 650 * (1 - drop)})
    fed = next(one for one in answer.of[0].causes if one.cause is Cause.FED_TURNS)
    assert fed.what == "primary"
    assert fed.size == pytest.approx(-12, abs=0.01)
    # And a count of it that is an interval as wide as that makes no disagreement of it.
    wide = _check("ht", 10.0, {"ht": 10.0 * 1554 / 650 * (1 - drop)}, counts={"primary": Counted(662, 645, 665)})
    assert wide.conclusion is Conclusion.AGREES
    broken = _check("ht", 10.0, {"ht": 23.0}, counts={"primary": Counted(662, -math.inf, math.inf)})
    assert broken.conclusion is Conclusion.CANT_TELL
    json.dumps(broken.as_body(), allow_nan=False)


def test_clips_on_a_tap_are_named() -> None:
    drop = _drop(_trial("ht"), 1554 / 662)
    answer = _check("ht", 10.0, {"ht": 10.0 * 777 / 662 * (1 - drop)})
    assert answer.of[0].causes[0].cause is Cause.LEADS_ON_TAP
    assert answer.of[0].causes[0].what == "start to centre"


# Sections.


def _halves(first: float, second: float, gain: float = 1.0) -> RatioAnswer:
    per_turn = 10.0 / 662 * (1 - _drop(_trial("ht"), 1554 / 662)) * gain
    read = {"ht": (first + second) * per_turn, "ht.centre": first * per_turn, "ht.finish": second * per_turn}
    return _check("ht", 10.0, read)


def test_a_tap_in_the_wrong_place_is_told_though_the_core_blurs_the_whole() -> None:
    # 8 turns in 777 are 1 %, and the whole is known to 1.5 %: the share of a half in the whole is known far better.
    good, late = _halves(777, 777, gain=1.01), _halves(785, 769, gain=1.01)
    assert good.conclusion is Conclusion.AGREES
    whole, first, second = late.of
    assert whole.conclusion is Conclusion.AGREES
    assert (first.conclusion, second.conclusion) == (Conclusion.DISAGREES, Conclusion.DISAGREES)
    for one in (first, second):
        tap = one.causes[0]
        assert (one.by, tap.cause, tap.what) == ("ht", Cause.TAP_PLACE, "centre")
        assert tap.size == pytest.approx(8, abs=0.01)
    early = _halves(769, 785)
    assert early.of[1].causes[0].size == pytest.approx(-8, abs=0.01)


def test_where_the_whole_is_wrong_its_sections_are_judged_by_the_fed_winding() -> None:
    # A layer of the second half was counted and is not there.
    answer = _halves(777, 587)
    whole, first, second = answer.of
    assert whole.conclusion is Conclusion.DISAGREES
    assert (first.by, first.conclusion) == ("primary", Conclusion.AGREES)
    assert (second.by, second.conclusion) == ("primary", Conclusion.DISAGREES)
    assert second.causes[0].cause is Cause.LAYER_MISSING


def test_a_tap_that_was_counted_elsewhere_is_judged_there() -> None:
    per_turn = 10.0 / 662 * (1 - _drop(_trial("ht"), 1554 / 662))
    read = {"ht": 1554 * per_turn, "ht.centre": 785 * per_turn, "ht.finish": 769 * per_turn}
    answer = _check("ht", 10.0, read, counts={"ht.centre": Counted.exactly(785), "ht.finish": Counted.exactly(769)})
    assert answer.conclusion is Conclusion.AGREES


# What is not known.


def test_good_windings_are_called_wrong_in_at_most_five_of_a_hundred() -> None:
    # Drop and flux beside the core normal with the u that the trial gives, gain of the meter shared, reading rounded to
    # a digit; 2000 draws with a fixed seed over all windings of both jobs.
    rng = np.random.default_rng(17)
    wrong = 0
    for number in range(2000):
        plan, trial = TRIALS[number % len(TRIALS)]
        reading = trial.readings[0]
        assert reading.u is not None
        true = trial.volts * (reading.per_volt + reading.u * rng.standard_normal())
        step = true / 500
        gain = 1 + 0.01 * rng.uniform(-1, 1)
        seen = round(true * gain / step + rng.uniform(-0.5, 0.5)) * step
        fed = Estimate(trial.volts * gain, {"meter:gain": 0.01 / math.sqrt(3) * trial.volts})
        read = Estimate(seen, {"meter:gain": 0.01 / math.sqrt(3) * seen, "digit": step / math.sqrt(6)})
        # The limits of volts are another matter: the gain may read 25 V as 25.2 V.
        trial = dataclasses.replace(trial, volts=trial.volts * 1.02)
        fed, read = fed * 0.98, read * 0.98
        answer = check_ratio(plan, trial, TrialVolts(fed, {reading.of: read}), COUNTS[plan.job.identity.number])
        wrong += answer.conclusion is Conclusion.DISAGREES
    assert 0.02 <= wrong / 2000 <= 0.05


def test_the_gain_of_one_range_leaves_with_the_ratio() -> None:
    # 5 % on one range against nothing: the same interval.  Of two meters it stays.
    trial = _trial("ht")

    def half(fed: str, read: str, gain: float) -> float:
        volts = TrialVolts(Estimate(10.0, {fed: gain * 10.0}), {"ht": Estimate(23.16, {read: gain * 23.16})})
        return check_ratio(RECEIVER, trial, volts, COUNTS["TP-0107"]).of[0].says.half

    assert half("m:gain", "m:gain", 0.05) == pytest.approx(half("m:gain", "m:gain", 0.0), rel=1e-6)
    assert half("m:gain", "other:gain", 0.05) > 5 * half("m:gain", "m:gain", 0.05)


def test_typed_readings_to_the_same_place_share_their_gain() -> None:
    def typed(value: float, second: int) -> Estimate:
        at = datetime(2024, 5, 1, 9, 0, second, tzinfo=UTC)
        reading = typed_reading(
            value, 0.01, Quantity.VOLTAGE_AC, Accuracy(1.0, counts=3), at=at, monotonic=float(second)
        )
        return Estimate.of(reading)

    volts = TrialVolts(typed(10.0, 1), {"ht": typed(23.16, 2)})
    says = check_ratio(RECEIVER, _trial("ht"), volts, COUNTS["TP-0107"]).of[0].says
    # Without the 1 %: 3 counts of 10 mV / sqrt 3 shared, a rounding each, and the trial's own 0.73 %.
    offset = 0.03 / math.sqrt(3) * (1 / 23.16 - 1 / 10)
    rounding = 0.005 / math.sqrt(3) * math.hypot(1 / 23.16, 1 / 10)
    core = (_trial("ht").readings[0].u or 0) / _trial("ht").readings[0].per_volt
    assert says.half / says.turns == pytest.approx(2 * math.hypot(offset, rounding, core), rel=1e-6)


def test_a_supply_that_drifts_is_read_before_and_after() -> None:
    fed = before_and_after(Estimate(10.0, {"m:gain": 0.05}), Estimate(10.2, {"m:gain": 0.051}))
    assert fed.value == pytest.approx(10.1)
    # The drift as a rectangle of half width 0.1; the gain stays one.
    assert fed.parts["supply drift"] == pytest.approx(0.1 / math.sqrt(3))
    assert fed.parts["m:gain"] == pytest.approx(0.0505)


def test_a_core_that_is_not_known_widens_the_interval() -> None:
    job = RECEIVER.job.model_copy(update={"core": RECEIVER.job.core.model_copy(update={"steel": ""})})
    plan = plan_of(job)
    trial = trials(plan, rules_named())[1]
    assert trial.readings[0].u is None
    volts = TrialVolts(Estimate(8.0), {"ht": Estimate(8.0 * 1554 / 662 * 0.99)})
    says = check_ratio(plan, trial, volts, COUNTS["TP-0107"]).of[0].says
    # 0 to 2 % low: the middle, and 1 % / sqrt 3 with k = 2.
    assert says.turns == pytest.approx(1554, rel=1e-6)
    assert says.half / says.turns == pytest.approx(2 * 0.01 / math.sqrt(3) / 0.99, rel=1e-6)


# Polarity.


def _reversed(job: Job, name: str) -> Job:
    return job.model_copy(
        update={
            "winding": tuple(
                one.model_copy(update={"sense": Sense.COUNTER_CLOCKWISE}) if one.name == name else one
                for one in job.winding
            )
        }
    )


@pytest.mark.parametrize(("series", "found"), [(16.5, 1), (6.6, -1), (11.58, None)])
def test_polarity_by_the_series_sum(series: float, found: int | None) -> None:
    # 5 V and 11.58 V: 16.58 V aiding, 6.58 V bucking; half way, 11.58 V, tells nothing.
    answer = _check("ht", 5.0, {"ht": 11.58}, series)
    assert answer.polarity is not None
    assert answer.polarity.found == found
    assert answer.polarity.aiding == pytest.approx(16.58)
    assert answer.polarity.bucking == pytest.approx(6.58)
    told = {1: Conclusion.AGREES, -1: Conclusion.DISAGREES, None: Conclusion.CANT_TELL}
    assert answer.conclusion is told[found]


def test_a_winding_that_is_meant_to_run_the_other_way_bucks() -> None:
    plan = plan_of(_reversed(RECEIVER.job, "ht"))
    trial = trials(plan, rules_named())[1]
    volts = TrialVolts(Estimate(5.0), {"ht": Estimate(11.58)}, Estimate(6.6))
    assert check_ratio(plan, trial, volts, COUNTS["TP-0107"]).conclusion is Conclusion.AGREES


def test_few_volts_against_a_coarse_meter_tell_no_polarity() -> None:
    # 0.1 V of a rectifier winding beside 5 V, each good to 0.1 V.
    volts = TrialVolts(
        Estimate(5.0, {"a": 0.05}), {"rectifier": Estimate(0.113, {"b": 0.001})}, Estimate(5.1, {"c": 0.05})
    )
    answer = check_ratio(RECEIVER, _trial("rectifier"), volts, COUNTS["TP-0107"])
    assert answer.polarity is not None
    assert answer.polarity.found is None


# Volts that can hurt.


@EVERY
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_answer_has_more_on_a_terminal_than_it_may(plan: WindingPlan, trial: Trial, data: st.DataObject) -> None:
    fed = data.draw(st.floats(0.01, 60.0))
    of = trial.readings[0].of
    read = fed * trial.readings[0].per_volt * data.draw(st.floats(0.5, 2.0))
    volts = TrialVolts(Estimate(fed), {of: Estimate(read)})
    if max(fed, read) > 25 or fed > trial.volts:
        with pytest.raises(TooManyVolts):
            check_ratio(plan, trial, volts, COUNTS[plan.job.identity.number])
        return
    try:
        answer = check_ratio(plan, trial, volts, COUNTS[plan.job.identity.number])
    except TooManyVolts:
        # A turn with far more than its share: then the volts of most turns, worked out by hand, are over the limit.
        turns = trial.readings[0].per_volt * (plan.winding(trial.fed).winding.turns or 0)
        assert read / turns * max(one.winding.turns or 0 for one in plan.windings) > 25
        return
    assert answer.highest <= 25 * (1 + 1e-9)
    assert answer.cautions == cautions(trial)


@EVERY
def test_more_volts_than_the_trial_has_are_not_planned(plan: WindingPlan, trial: Trial) -> None:
    assert feed_volts(trial) == trial.volts
    assert feed_volts(trial, trial.volts / 2) == trial.volts / 2
    with pytest.raises(TooManyVolts, match=f"to feed {trial.fed} with, expected at most {trial.volts:g} V"):
        feed_volts(trial, trial.volts * 1.01)
    for nonsense in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(ValueError, match="expected more than 0"):
            feed_volts(trial, nonsense)


@EVERY
def test_a_series_sum_stays_within_the_limit_too(plan: WindingPlan, trial: Trial) -> None:
    if trial.after == trial.fed:
        with pytest.raises(ValueError, match="with itself"):
            series_volts(plan, trial)
        return
    volts = series_volts(plan, trial)
    turns = {one.name: one.winding.turns or 0 for one in plan.windings}
    assert 0 < volts <= trial.volts
    assert volts * (1 + turns[trial.after] / turns[trial.fed]) <= 25


def test_too_many_volts_are_pointed_out_before_the_next_reading() -> None:
    trial = _trial("ht")
    assert over_the_limit(RECEIVER, trial, 10.0, {}) is None
    assert over_the_limit(RECEIVER, trial, 10.5, {}) == (
        "10.5 V on primary, expected at most 10 V: turn the source down and read again"
    )
    for fed, read, start in (
        (0.0, {"ht": 230.0}, "230 V on ht, expected at most 25 V on any terminal: source to zero now"),
        (26.0, {}, "26 V on primary, expected at most 25 V on any terminal: source to zero now"),
        # 777 of 1554 turns, at twice what is due (11.6 V): twice the volts on the whole, and the drop of some percent.
        (10.0, {"ht.centre": 23.2}, "23.2 V on ht.centre, unless the clips are on other leads, mean 47 V on ht, exp"),
        (10.0, {"primary and ht in series": 33.2}, "33.2 V on primary and ht in series, expected at most 25 V"),
    ):
        told = over_the_limit(RECEIVER, trial, fed, read)
        assert told is not None
        assert told.startswith(start)


def test_a_coarse_reading_of_the_search_coil_is_no_alarm() -> None:
    # 0.1543 V due at 25 V, shown as 0.16 V by a meter of 10 mV: that is the meter, not 25.9 V.
    assert over_the_limit(OPENER, _trial("primary", OPENER), 25.0, {SEARCH_COIL: 0.16}) is None


def test_the_cautions_name_what_is_fed_and_how_far() -> None:
    lines = cautions(_trial("primary"))
    assert lines[0].startswith("Feed primary and no other winding, from an isolated source")
    assert "at most 22 V" in lines[0]
    assert lines[-1].startswith("Search coil: 10 turns")
    assert not any(line.startswith("Search coil") for line in cautions(_trial("ht")))


# Bad input.


def test_bad_input_is_one_line() -> None:
    for read, counts, words in (
        ({"heater": 0.3}, None, "volts on heater after ht, expected on ht, ht.centre, ht.finish"),
        ({}, None, "no volts after ht, expected on ht, ht.centre, ht.finish"),
        ({"ht": math.nan}, None, "volts on ht: nan V, expected a number of 0 or more"),
    ):
        with pytest.raises(ValueError, match="expected") as told:
            _check("ht", 10.0, read, counts=counts)
        assert str(told.value) == words
    with pytest.raises(ValueError, match="turns of ht: no count, expected one"):
        check_ratio(
            RECEIVER,
            _trial("ht"),
            TrialVolts(Estimate(10.0), {"ht": Estimate(23.0)}),
            {"primary": Counted.exactly(662)},
        )
    with pytest.raises(ValueError, match="0 V on search coil, expected more than the meter's own doubt"):
        _check("primary", 10.0, {SEARCH_COIL: 0.0})


def test_the_record_holds_all_of_it_as_json() -> None:
    answer = _check("ht", 5.0, {"ht": 11.58, "ht.centre": 5.79, "ht.finish": 5.79}, 16.5)
    body = json.loads(json.dumps(answer.as_body(), allow_nan=False))
    assert (body["check"], body["winding"], body["conclusion"]) == ("volts", "ht", "agrees")
    assert [one["of"] for one in body["of"]] == ["ht", "ht.centre", "ht.finish"]
    assert body["polarity"]["found"] == 1
