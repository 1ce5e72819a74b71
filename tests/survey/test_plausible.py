"""What is asked once more while readings as found are typed, and what is not."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.as_found import AsFound
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.survey.plausible import (
    PLATE_FACTOR,
    doubt_of_amps,
    doubt_of_fed_volts,
    doubt_of_insulation,
    doubt_of_ohms,
    doubt_of_tester,
    doubt_of_volts,
    doubt_of_watts,
)

REFUSE = 1e7
PLATES: dict[str, Any] = {
    "winding": [
        {"name": "primary", "role": "primary", "nameplate_voltage": "117 V"},
        {"name": "ht", "role": "secondary", "nameplate_voltage": "500 V"},
        {"name": "heater", "role": "secondary", "nameplate_voltage": "6.3 V"},
    ],
    "resistance": [{"winding": "primary", "resistance": "3.42 ohm"}, {"winding": "ht", "resistance": "176.1 ohm"}],
}


def found(**more: Any) -> AsFound:
    return AsFound.model_validate({**PLATES, **more})


def both_ways(volts: str) -> AsFound:
    return found(volts=[{"fed": "heater", "fed_voltage": "6.30 V", "winding": "primary", "voltage": volts}])


@pytest.mark.parametrize("name", ["coastal-receiver", "gate-opener"])
def test_no_reading_of_the_shipped_jobs_is_doubted(name: str) -> None:
    one = read_job(example_job(name)).as_found
    assert one is not None
    for pair in one.volts:
        assert not doubt_of_fed_volts(one, pair.fed, pair.fed_voltage.value)
        assert not doubt_of_volts(one, pair.fed, pair.fed_voltage.value, pair.winding, pair.voltage.value)
    for ohms in one.resistance:
        assert not doubt_of_ohms(one, ohms.winding, ohms.resistance.value)
    for insulation in one.insulation:
        assert not doubt_of_insulation(insulation.resistance, REFUSE)
    before = None
    for point in one.exciting:
        assert not doubt_of_amps(point.voltage, point.current, before)
        assert point.power is None or not doubt_of_watts(point.voltage, point.current, point.power)
        before = (point.voltage, point.current)


def test_kilovolts_of_a_heater_are_doubted_and_the_slipped_unit_is_named() -> None:
    told = doubt_of_volts(found(), "ht", 20.0, "heater", 1152.0)
    assert "1.152 kV is 4570 times the 252 mV that the plates say at 20.0 V on ht" in told


def test_a_slip_of_a_prefix_is_named() -> None:
    assert doubt_of_volts(found(), "primary", 97.8, "heater", 5575.0).endswith("; perhaps 5.575 V is meant")
    assert doubt_of_volts(found(), "primary", 97.8, "heater", 5.575e-3).endswith("; perhaps 5.575 V is meant")


def test_ohms_that_are_the_volts_of_the_plate_are_doubted() -> None:
    told = doubt_of_ohms(found(), "heater", 6.78)
    assert "the ohms of primary, ht and the plates say" in told
    assert "the plate says 6.3 V, perhaps it is its volts" in told
    assert doubt_of_ohms(found(), "heater", 0.049) == ""


def test_ohms_without_another_winding_s_or_without_a_plate_tell_nothing() -> None:
    assert doubt_of_ohms(found(resistance=[]), "heater", 6.78) == ""
    bare = AsFound.model_validate({**PLATES, "winding": [{"name": "primary"}, {"name": "ht"}, {"name": "heater"}]})
    assert doubt_of_ohms(bare, "heater", 6.78) == ""


@pytest.mark.parametrize(
    ("ohms", "told"),
    [
        (35e3, "286 times less than the 10.0 Mohm below which nothing is fed; perhaps 35.0 Mohm is meant"),
        (2.0, "is"),
        (3e6, ""),
    ],
)
def test_insulation_far_below_the_gate_is_doubted(ohms: float, told: str) -> None:
    said = doubt_of_insulation(ohms, REFUSE)
    assert told in said
    assert bool(said) is bool(told)


@pytest.mark.parametrize(
    ("volts", "doubted"), [("108.0 V", False), ("60.0 V", False), ("50.0 V", True), ("1.08 V", True)]
)
def test_the_two_directions_of_feeding_must_agree(volts: str, doubted: bool) -> None:
    told = doubt_of_volts(both_ways(volts), "primary", 117.0, "heater", 6.8)
    assert bool(told) is doubted
    assert not doubted or "say the other way round" in told


def test_a_section_gives_no_more_than_its_whole_and_may_give_far_less() -> None:
    tapped = {"name": "ht", "taps": [{"name": "centre"}], "nameplate_voltage": "600 V"}
    one = AsFound.model_validate(
        {
            "winding": [tapped, {"name": "primary", "nameplate_voltage": "117 V"}],
            "resistance": [{"winding": "ht", "resistance": "176 ohm"}],
        }
    )
    assert "the 20.0 V that lie on the whole of ht" in doubt_of_volts(one, "ht", 20.0, "ht.centre", 1152.0)
    assert doubt_of_volts(one, "ht", 20.0, "ht.centre", 10.0) == ""
    assert "the plates say" in doubt_of_volts(one, "primary", 20.0, "ht.centre", 5200.0)
    assert doubt_of_volts(one, "primary", 20.0, "ht.centre", 5.2) == ""
    assert "the whole of ht reads" in doubt_of_ohms(one, "ht.centre", 880.0)
    assert doubt_of_ohms(one, "ht.centre", 8.8) == ""


def test_counted_turns_go_before_plates() -> None:
    windings = [{"name": "a", "turns": 280, "nameplate_voltage": "6 V"}, {"name": "b", "turns": 16}]
    one = AsFound.model_validate({"winding": windings})
    assert "the counted turns say" in doubt_of_volts(one, "a", 97.8, "b", 55.7)
    assert doubt_of_volts(one, "a", 97.8, "b", 5.57) == ""


def test_volts_far_above_the_plate_of_the_fed_winding_are_doubted_and_part_of_them_never() -> None:
    assert "32 times the 6.30 V that the plate says of heater" in doubt_of_fed_volts(found(), "heater", 200.0)
    assert doubt_of_fed_volts(found(), "heater", 0.2) == ""
    assert doubt_of_fed_volts(AsFound(), "heater", 200.0) == ""


def test_amps_where_milliamps_are_due_and_watts_beyond_volts_times_amps_are_doubted() -> None:
    assert doubt_of_amps(40.0, 64.5, (20.0, 0.046)).endswith("; perhaps 64.50 mA is meant")
    assert doubt_of_amps(40.0, 64.5, None) == ""
    assert doubt_of_watts(60.2, 0.08, 2780.0).endswith("; perhaps 2.780 W is meant")
    assert doubt_of_watts(60.2, 0.08, 5.0) == ""


@given(st.floats(0.5, 300), st.floats(0.25, 4.0))
def test_within_the_factor_of_the_plates_nothing_is_asked(fed: float, off: float) -> None:
    assert PLATE_FACTOR > 4
    assert doubt_of_volts(found(), "primary", fed, "ht", fed * 500 / 117 * off) == ""


@pytest.mark.parametrize(
    ("volts", "doubted"), [(9.0, True), (50.0, True), (250.0, False), (500.0, False), (2500.0, False)]
)
def test_a_multimeter_is_no_insulation_tester(volts: float, doubted: bool) -> None:
    assert bool(doubt_of_tester(volts)) is doubted
