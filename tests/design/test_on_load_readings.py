"""Readings on load: what their doubt holds, what is left out and why, and how warm it gets."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from bench.design.class_check import Standing, class_check
from bench.design.loaded import job_loads, loaded_unit
from bench.design.on_load_doubts import moved_units
from bench.design.on_load_readings import on_load_readings
from bench.design.readings import foreseen
from bench.design.rise_on_load import RiseOnLoad
from bench.job.expected_reading import Foreseen, Kind
from bench.job.file import read_job
from bench.job.model import Job, Supply
from bench.job.profiles import example_job
from bench.magnetics.load import RectifierLoad
from bench.whole_test import rules_named

RULES = rules_named()
RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))


def _table(load: dict[str, Any] | None = None, **low: Any) -> dict[str, Any]:
    """A small unit with one secondary that feeds `load`."""
    winding = {"name": "low", "role": "secondary", "turns": 60, "wire": "1.0 mm", "rated_voltage": "9 V"} | low
    return {
        "schema": 1,
        "identity": {"number": "X"},
        "core": {"lamination": "EI 66", "stack": "25 mm", "steel": "m530-65a"},
        "supply": {"voltage": "230 V", "frequency": "50 Hz"},
        "winding": [{"name": "primary", "role": "primary", "turns": 1620, "wire": "0.16 mm"}, winding],
        "load": [{"winding": "low", **({"current": "0.5 A"} | (load or {}))}],
        "targets": {"temperature_class": "B"},
    }


def _unit(load: dict[str, Any] | None = None, **low: Any) -> Job:
    return Job.model_validate(_table(load, **low))


def _kinds(job: Job) -> set[Kind]:
    return {one.kind for one in foreseen(job, RULES).rows}


def _row(rows: tuple[Foreseen, ...], kind: Kind, of: str) -> Foreseen:
    return next(one for one in rows if (one.kind, one.of, one.at) == (kind, of, "230 V"))


def test_each_thing_that_is_not_known_moves_the_readings_by_itself() -> None:
    unit = loaded_unit(RECEIVER, RULES)
    named = [one.what for one in moved_units(unit, 1.17, {"ht": 1.0})]
    core = ["steel, joints, stack and core loss"] * 4
    assert named == ["copper 2.8 %", "counted turns", *core, "leakage 10 %", "slope of the diodes 20 %"]


def test_the_doubt_of_a_rail_behind_a_valve_holds_the_valve() -> None:
    rail = _row(foreseen(RECEIVER, RULES).rows, Kind.RAIL, "ht")
    # By hand: a fifth of 180 ohm at the peaks of some 0.13 A that a capacitor input takes for 45 mA is about 4 V.
    assert 2.5 < rail.u < 6.0
    job = RECEIVER.model_copy(
        update={"load": tuple(one.model_copy(update={"diode_resistance": None}) for one in RECEIVER.load)}
    )
    assert _row(foreseen(job, RULES).rows, Kind.RAIL, "ht").u < rail.u / 3


def test_counted_turns_are_in_the_doubt_of_the_volts_on_load() -> None:
    designed = _row(foreseen(OPENER, RULES).rows, Kind.ON_LOAD, "supply24")
    counted = _row(foreseen(OPENER, RULES, {"supply24": 3.0}).rows, Kind.ON_LOAD, "supply24")
    by_turns = counted.value * 3.0 / math.sqrt(3) / 190
    assert math.sqrt(counted.u**2 - designed.u**2) == pytest.approx(by_turns, rel=0.1)


def test_the_core_s_loss_is_in_the_doubt_of_the_efficiency() -> None:
    found = foreseen(OPENER, RULES).rows
    watts = next(one for one in found if one.kind is Kind.CORE_WATTS and one.at.startswith("230"))
    output = 23.77 * 0.495
    efficiency = _row(found, Kind.EFFICIENCY, "whole unit")
    assert efficiency.u > 0.8 * efficiency.value**2 * watts.u / output


def test_an_overloaded_unit_is_said_to_burn() -> None:
    found = foreseen(_unit({"current": "60 A"}), RULES)
    assert not [one for one in found.rows if one.kind is Kind.RISE]
    (line,) = [one for one in found.left_out if one.startswith("temperature rise on load at 230 V")]
    assert "beyond what the rule reaches (" in line
    assert line.endswith("W/m2 of surface, it ends at 2000): it burns")
    assert found.thermal is not None
    assert found.thermal.standing is Standing.OVER
    assert found.thermal.as_json()["rise"] is None
    assert found.thermal.hottest.at == "253 V"


def test_a_unit_that_hardly_warms_is_said_to() -> None:
    job = OPENER.model_copy(update={"supply": Supply.model_validate({"voltage": "30 V", "frequency": "50 Hz"})})
    lines = [one for one in foreseen(job, RULES).left_out if one.startswith("temperature rise")]
    assert lines
    assert all("less than the rule reaches" in one and one.endswith("hardly warm") for one in lines)


def test_the_rise_is_held_against_the_class_that_the_job_asks_for() -> None:
    found = foreseen(OPENER, RULES).thermal
    assert found is not None
    # Mean rise of class B, dry type: 80 K (datsan.com.tr, page on thermal classes).
    assert found.limit.standard == "IEC 60076-11"
    assert found.allowed == pytest.approx(80.0)
    assert found.sentence.startswith("class B by IEC 60076-11 allows a rise")
    assert found.hottest.at == "253 V"
    assert found.standing is Standing.WITHIN
    unasked = OPENER.model_copy(update={"targets": OPENER.targets.model_copy(update={"temperature_class": ""})})
    assert foreseen(unasked, RULES).thermal is None


@pytest.mark.parametrize(
    ("rise", "standing"), [(40.0, Standing.WITHIN), (55.0, Standing.IN_DOUBT), (75.0, Standing.OVER)]
)
def test_a_doubtful_rise_is_neither_within_its_class_nor_over_it(rise: float, standing: Standing) -> None:
    found = class_check("A", [RiseOnLoad("207 V", 20.0, 5.0), RiseOnLoad("253 V", rise, 5.0)])
    assert found is not None
    assert found.allowed == pytest.approx(60.0)
    assert found.standing is standing


def test_a_tap_off_the_middle_gives_the_rectifier_its_own_turns() -> None:
    load = {"rectifier": "full-wave", "filter": "capacitor", "capacitance": "4700 uF", "current": "0.1 A"}
    at_20 = loaded_unit(_unit(load, taps=[{"name": "t", "turn": 20}]), RULES)
    (low,) = [one for one in at_20.windings if one.name == "low"]
    assert low.half_turns == (20.0, 40.0)
    found = foreseen(at_20.job, RULES)
    assert found.left_out == (
        "on load low is tapped off its middle (20 and 40 turns): its amps are the RMS of both halves together, one of "
        "which carries more",
    )
    rail = _row(found.rows, Kind.RAIL, "low")
    # Little less than the peak of 40 turns' volts over a diode; 30 turns would give no more than their peak less that.
    open_peak = math.sqrt(2) * 230 / 1620
    assert 30 * open_peak - 0.8 < 6.0 < rail.value < 40 * open_peak - 0.7


@pytest.mark.parametrize(
    ("rectifier", "taps", "cycles"),
    [("bridge", [], 2), ("half-wave", [], 1), ("full-wave", [{"name": "t", "turn": 30}], 1)],
)
def test_a_rectifier_without_a_filter_feeds_a_resistance_from_the_rated_volts(
    rectifier: str, taps: list[dict[str, Any]], cycles: int
) -> None:
    job = _unit({"rectifier": rectifier, "current": "20 mA", "diode_drop": "0.1 mV"}, taps=taps)
    (load,) = job_loads(job)
    assert isinstance(load, RectifierLoad)
    # The mean of a half cycle of a sine is sqrt(2) / pi of its RMS.
    assert load.load_resistance == pytest.approx(cycles * math.sqrt(2) / math.pi * 9 / 0.02, rel=1e-3)
    assert {Kind.RAIL, Kind.RIPPLE} <= _kinds(job)


def test_diodes_that_leave_nothing_of_the_volts_are_told() -> None:
    job = _unit({"rectifier": "bridge", "current": "0.1 A"}, rated_voltage="1 V")
    assert foreseen(job, RULES).left_out == (
        "nothing on load: the rectifier on low without a filter can't give 0.1 A at its rated 1 V",
    )


def test_what_keeps_readings_on_load_from_being_worked_out_is_told() -> None:
    fast = OPENER.model_copy(update={"supply": Supply.model_validate({"voltage": "115 V", "frequency": "400 Hz"})})
    assert foreseen(fast, RULES).left_out == (
        "nothing on load at 103.5 V, 115 V, 126.5 V: 400 Hz is outside the loss table, expected 40 to 70 Hz",
    )
    bare = foreseen(_unit(wire=None), RULES)
    assert bare.left_out == (
        "nothing on load: no resistance of low without its wire, the core's size or room between margins",
    )
    unrated = foreseen(_unit(rated_voltage=None), RULES)
    assert unrated.left_out == ("nothing on load: the load of low is 0.5 A and no winding.low.rated_voltage",)


def test_a_rail_that_can_t_give_its_current_at_low_mains_is_told_for_that_mains() -> None:
    load = {"rectifier": "bridge", "filter": "capacitor", "capacitance": "4700 uF", "current": "2.4 A"}
    found = [foreseen(_unit({**load, "current": f"{amps} A"}), RULES) for amps in (0.2, 30)]
    assert not found[0].left_out
    assert not [one for one in found[1].rows if one.kind is Kind.RAIL]
    (line,) = [one for one in found[1].left_out if one.startswith("nothing on load")]
    assert line.startswith("nothing on load at 207 V, 230 V, 253 V: ")


def test_what_was_taken_for_want_of_knowledge_is_told() -> None:
    table = _table()
    del table["core"]["steel"]
    coreless = foreseen(Job.model_validate(table), RULES)
    assert "on load no exciting current and no core loss: the core's size or its steel is not known" in (
        coreless.left_out
    )
    assert Kind.EFFICIENCY not in {one.kind for one in coreless.rows}
    idle = {"name": "idle", "role": "secondary", "turns": 10, "wire": "0.5 mm"}
    table = _table()
    table["winding"].append(idle)
    assert foreseen(Job.model_validate(table), RULES).left_out == (
        "on load idle feeds nothing: no load and no ratings",
    )


def test_without_any_doubt_there_is_none_in_the_rows() -> None:
    unit = loaded_unit(OPENER, RULES)
    sure = type(unit)(**{**vars(unit), "u_log_resistance": 0.0, "core": None, "leakage": unit.leakage * 0})
    assert all(one.u == 0 for one in on_load_readings(sure, {}).rows)


OPTIONAL = {
    "capacitance": ["16 uF", "4700 uF"],
    "choke": ["10 H"],
    "choke_resistance": ["100 ohm"],
    "diode_drop": ["1 V", "20 V"],
    "diode_resistance": ["0.1 ohm", "180 ohm"],
}


@settings(max_examples=40, deadline=None)
@given(
    st.fixed_dictionaries(
        {
            "winding": st.sampled_from(["low", "low", "low", "low.t", "primary"]),
            "rectifier": st.sampled_from(["none", "bridge", "full-wave", "half-wave"]),
            "filter": st.sampled_from(["none", "capacitor", "choke"]),
            "current": st.sampled_from(["1 mA", "0.5 A", "60 A"]),
        },
        optional={key: st.sampled_from(values) for key, values in OPTIONAL.items()},
    ),
    st.sampled_from([(), (20,), (10, 30)]),
    st.sampled_from(["9 V", None]),
)
def test_a_load_that_the_job_may_hold_gives_readings_or_a_reason(
    load: dict[str, Any], taps: tuple[int, ...], volts: str | None
) -> None:
    try:
        job = _unit(load, taps=[{"name": f"t{turn}", "turn": turn} for turn in taps], rated_voltage=volts)
    except ValidationError:
        return
    found = foreseen(job, RULES)
    assert any(one.kind is Kind.ON_LOAD for one in found.rows) or found.left_out
