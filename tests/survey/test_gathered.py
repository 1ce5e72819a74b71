"""The job file's part and the record's entries as one: which reading stands, and what fits nothing."""

from __future__ import annotations

from typing import Any

import pytest

from bench.job.as_found import AsFound
from bench.records.entry import Kind
from bench.survey.evidence import Counted
from bench.survey.gathered import AS_FOUND, STRIPPED, gather

FILE: dict[str, Any] = {
    "frequency": "60 Hz",
    "fed": "primary",
    "winding": [
        {"name": "primary", "role": "primary", "turns": 280},
        {"name": "ht", "role": "secondary", "taps": [{"name": "centre", "turn": 646}]},
        {"name": "probe", "search_coil": True, "turns": 5},
    ],
    "insulation": [{"winding": "primary", "resistance": "85 Mohm"}, {"winding": "ht", "resistance": "120 Mohm"}],
    "resistance": [{"winding": "primary", "resistance": "3.42 ohm"}, {"winding": "ht", "resistance": "176.1 ohm"}],
    "volts": [
        {"fed": "primary", "fed_voltage": "97.75 V", "winding": "ht", "voltage": "449.9 V"},
        {"fed": "primary", "fed_voltage": "12.00 V", "winding": "ht", "voltage": "55.20 V"},
        {"fed": "primary", "fed_voltage": "97.71 V", "winding": "ht.centre", "voltage": "224.9 V"},
    ],
    "exciting": [{"voltage": "20 V", "current": "46 mA"}, {"voltage": "60 V", "current": "80 mA"}],
}


def file(**changes: Any) -> AsFound:
    return AsFound.model_validate({**FILE, **changes})


def read(part: str, **fields: Any) -> tuple[str, dict[str, Any]]:
    return AS_FOUND, {"part": part, **fields}


def stripped(winding: str, turns: float) -> tuple[str, dict[str, Any]]:
    return STRIPPED, {"winding": winding, "turns": turns, "within": 0.5, "how": "typed", "goes": 2}


def test_the_kinds_are_those_of_the_record() -> None:
    assert (AS_FOUND, STRIPPED) == (Kind.AS_FOUND, Kind.STRIPPED)


def test_with_no_entries_the_file_stands_and_with_neither_nothing_does() -> None:
    assert gather(file(), []).found == file()
    assert gather(None, []).found == AsFound()


def test_an_entry_takes_the_place_of_the_file_s_reading_and_of_its_own_forerunner() -> None:
    found = gather(
        file(),
        [
            read("resistance", winding="ht", resistance="180 ohm"),
            read("resistance", winding="ht", resistance="177.0 ohm", temperature="21 degC"),
            read("insulation", winding="primary", resistance="9 Mohm"),
        ],
    ).found
    assert {one.winding: one.resistance.value for one in found.resistance} == {"primary": 3.42, "ht": 177.0}
    assert {one.winding: one.resistance for one in found.insulation} == {"primary": 9e6, "ht": 120e6}


def test_volts_of_the_same_two_windings_replace_all_that_the_file_has_of_them() -> None:
    body = {"fed": "primary", "fed_voltage": "98.00 V", "winding": "ht", "voltage": "452.0 V", "frequency": "50 Hz"}
    found = gather(file(), [read("volts", **body)]).found
    assert [(one.winding, one.voltage.value) for one in found.volts] == [("ht.centre", 224.9), ("ht", 452.0)]


def test_a_curve_of_another_frequency_replaces_the_file_s_and_leaves_its_volts_their_own() -> None:
    points = [read("exciting", fed="primary", frequency="50 Hz", voltage=f"{v} V", current="50 mA") for v in (40, 20)]
    found = gather(file(), points).found
    assert (found.frequency, [one.voltage for one in found.exciting]) == (50.0, [20.0, 40.0])
    assert {one.frequency for one in found.volts} == {60.0}


def test_a_point_at_the_same_volts_is_read_anew_and_the_others_stay() -> None:
    point = read("exciting", fed="primary", frequency="60 Hz", voltage="20 V", current="48 mA")
    found = gather(file(), [point]).found
    assert [(one.voltage, one.current) for one in found.exciting] == [(20.0, 0.048), (60.0, 0.080)]


def test_turns_beside_the_curve_are_those_of_the_file_s_winding_only() -> None:
    point = read("exciting", fed="ht", frequency="60 Hz", voltage="20 V", current="48 mA")
    found = gather(file(winding_turns=280), [point]).found
    assert (found.fed, found.winding_turns, len(found.exciting)) == ("ht", None, 1)


def test_a_count_while_stripping_takes_the_place_of_the_file_s() -> None:
    gathered = gather(file(), [stripped("primary", 279.0), stripped("primary", 281.5)])
    assert gathered.counted == (Counted("primary", 281.5, 0.5, "typed"),)
    assert gathered.found.get_winding("primary").turns == 281.5


@pytest.mark.parametrize("kind", ["strip begun", "strip count", "strip go", "count", "winding done", "note"])
def test_an_unfinished_stripping_is_no_count(kind: str) -> None:
    gathered = gather(file(), [(kind, {"winding": "ht", "turns": 100.0, "off": 100.0})])
    assert gathered.counted == ()
    assert gathered.found == file()


def test_a_count_below_its_own_taps_is_a_count_and_makes_no_sections() -> None:
    gathered = gather(file(), [stripped("ht", 500.0)])
    assert gathered.counted[0].turns == 500.0
    assert gathered.found.get_winding("ht").turns == 500.0


def test_windings_of_the_record_stand_where_the_file_has_none() -> None:
    entries = [
        read("winding", name="wrong", role="primary"),
        read("winding", taken_back=True),
        read("winding", name="primary", role="primary", nameplate_voltage="117 V"),
        read("winding", name="heater", role="secondary"),
    ]
    assert [one.name for one in gather(None, entries).found.winding] == ["primary", "heater"]
    assert [one.name for one in gather(file(), entries).found.winding] == ["primary", "ht", "probe"]


def test_what_fits_no_winding_is_left_out_and_told() -> None:
    gathered = gather(
        file(),
        [
            read("insulation", winding="heater", resistance="9 Mohm"),
            read("resistance", winding="heater", resistance="1 ohm"),
            read("volts", fed="heater", fed_voltage="1 V", winding="ht", voltage="5 V"),
            read("current_ratio", winding="heater", current="1 A", coil_current="5 A"),
            read("exciting", fed="heater", frequency="50 Hz", voltage="6 V", current="1 A"),
            stripped("heater", 16.0),
            stripped("probe", 5.0),
        ],
    )
    assert gathered.found == file()
    assert gathered.counted == ()
    assert len(gathered.left_out) == 7
    assert all("no such winding is among those as found" in line for line in gathered.left_out)


@pytest.mark.parametrize(
    "entry",
    [
        read("resistance", winding="ht", resistance="5 mm"),
        read("temper", winding="ht"),
        (AS_FOUND, {}),
        (STRIPPED, {"winding": "ht", "turns": "many"}),
        read("exciting", voltage="6 V", current="1 A"),
    ],
)
def test_an_entry_that_can_t_be_read_bars_nothing_and_is_told_in_a_line(entry: tuple[str, dict[str, Any]]) -> None:
    gathered = gather(file(), [entry])
    assert gathered.found == file()
    (line,) = gathered.left_out
    assert "can't be read" in line
    assert "\n" not in line


def test_a_withdrawn_reading_is_left_out_and_the_file_s_stands_again() -> None:
    entries = [
        read("resistance", winding="ht", resistance="1.770 ohm"),
        read("insulation", winding="primary", resistance="9 Mohm"),
        read("volts", fed="primary", fed_voltage="98.00 V", winding="ht", voltage="4.52 V"),
    ]
    withdrawn = [
        read("resistance", winding="ht", withdrawn="1.770 ohm"),
        read("volts", fed="primary", winding="ht", withdrawn="98.00 V and 4.52 V"),
    ]
    assert set(gather(file(), entries).bodies) == {
        ("resistance", "ht"), ("insulation", "primary"), ("volts", "primary", "ht")
    }  # fmt: skip
    gathered = gather(file(), [*entries, *withdrawn])
    assert gathered.left_out == ()
    assert {one.winding: one.resistance.value for one in gathered.found.resistance}["ht"] == 176.1
    assert gathered.found.volts == file().volts
    assert set(gathered.bodies) == {("insulation", "primary")}
    again = gather(file(), [*entries, *withdrawn, read("resistance", winding="ht", resistance="177.0 ohm")])
    assert again.bodies["resistance", "ht"]["resistance"] == "177.0 ohm"


def test_a_withdrawn_point_of_the_curve_is_left_out_at_whatever_digits_its_volts_were_typed() -> None:
    points = [read("exciting", fed="primary", frequency="50 Hz", voltage=f"{v} V", current="50 mA") for v in (20, 40)]
    gone = read("exciting", fed="primary", frequency="50.0 Hz", voltage="20.0 V", withdrawn="50 mA")
    gathered = gather(file(), [*points, gone])
    assert [one.voltage for one in gathered.found.exciting] == [40.0]
    assert list(gathered.bodies) == [("exciting", "primary", "50", "40")]


def test_a_withdrawal_of_a_winding_that_is_none_bars_nothing() -> None:
    gathered = gather(file(), [read("resistance", winding="heater", withdrawn="1 ohm")])
    assert (gathered.found, gathered.left_out) == (file(), ())


def test_capitals_make_no_other_winding_where_only_one_fits() -> None:
    gathered = gather(file(), [read("resistance", winding="HT", resistance="180 ohm"), stripped("Primary", 281.0)])
    assert gathered.left_out == ()
    assert {one.winding: one.resistance.value for one in gathered.found.resistance}["ht"] == 180.0
    assert gathered.counted == (Counted("primary", 281.0, 0.5, "typed"),)


def test_capitals_tell_where_two_windings_differ_in_them_only() -> None:
    two = {"winding": [{"name": "Ht"}, {"name": "ht"}], "insulation": [], "resistance": [], "volts": [],
           "exciting": [], "fed": ""}  # fmt: skip
    gathered = gather(file(**two), [read("resistance", winding="HT", resistance="180 ohm")])
    assert gathered.left_out == ("resistance of HT is in the record, and no such winding is among those as found",)


def test_windings_are_said_to_be_the_record_s_only_where_the_file_names_none() -> None:
    entries = [read("winding", name="primary", role="primary")]
    assert gather(None, entries).named_by_record
    assert not gather(file(), entries).named_by_record
    assert not gather(None, [*entries, read("winding", taken_back=True)]).named_by_record
