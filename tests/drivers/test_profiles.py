"""Profiles: those that come along are sound, and what is wrong with one is said all at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from drivers import profile_files
from drivers.errors import ProfileError, Unsupported
from drivers.meter_profile import Response
from drivers.profile_files import load_counter_profile, load_meter_profile, profile_names
from drivers.reading import Quantity

SCPI = (Path(profile_files.__file__).parent.parent / "profiles/meters/scpi.toml").read_text()
HALL = (Path(profile_files.__file__).parent.parent / "profiles/counters/hall.toml").read_text()
PLAIN = (Path(profile_files.__file__).parent.parent / "profiles/counters/plain.toml").read_text()


def problems_of(tmp_path: Path, text: str, load=load_meter_profile) -> list[str]:
    file = tmp_path / "mine.toml"
    file.write_text(text)
    with pytest.raises(ProfileError) as error:
        load(str(file))
    return [line.removeprefix(f"{file}: ") for line in str(error.value).splitlines()]


@pytest.mark.parametrize("name", profile_names("meters"))
def test_each_meter_profile_says_where_its_accuracy_is_from(name):
    profile = load_meter_profile(name)
    assert profile.name == name
    assert profile.accuracy_basis
    assert profile.functions


@pytest.mark.parametrize("name", profile_names("counters"))
def test_each_counter_profile_loads(name):
    assert load_counter_profile(name).name == name


def test_the_scpi_profile_offers_the_ranges_of_its_dialect():
    functions = load_meter_profile("scpi").functions
    assert [each.full_scale for each in functions[Quantity.VOLTAGE_AC].ranges] == [0.1, 1, 10, 100, 750]
    assert [each.full_scale for each in functions[Quantity.CURRENT_AC].ranges] == [0.01, 0.1, 1, 3]
    assert [each.full_scale for each in functions[Quantity.RESISTANCE].ranges] == [*[10, 100, 1e3, 1e4, 1e5, 1e6, 1e7]]
    assert functions[Quantity.CURRENT_AC].response is Response.TRUE_RMS


def test_an_unknown_name_lists_those_that_exist():
    with pytest.raises(ProfileError, match=r"profile dmm: not known; meters there are: .*scpi"):
        load_meter_profile("dmm")


def test_a_persons_own_file_is_read(tmp_path):
    (tmp_path / "mine.toml").write_text(SCPI.replace('name = "scpi"', 'name = "mine"'))
    assert load_meter_profile(str(tmp_path / "mine.toml")).name == "mine"


@pytest.mark.parametrize("name", ["./none.toml", "none.toml"])
def test_a_file_that_is_missing_says_so(name):
    with pytest.raises(ProfileError, match="no such file"):
        load_counter_profile(name)


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('name = "scpi"\n', "", "name: missing, expected a text in quotes"),
        ("baud_rate = 9600", "baud = 9600", "interface.baud: unknown key; did you mean baud_rate?"),
        ("baud_rate = 9600", 'baud_rate = "9600"', "interface.baud_rate: '9600', expected a whole number"),
        ('parity = "none"', 'parity = "mark"', "interface.parity: 'mark', expected one of none, even, odd"),
        ("dtr = true", "dtr = 1", "interface.dtr: 1, expected true or false"),
        ("quiet_s = 0.05", "quiet_s = nan", "timing.quiet_s: nan, expected a number"),
        ("schema = 1", "schema = 2", "schema: 2, expected a whole number from 1 to 1"),
        ('enter = ["SYST:REM"]', 'enter = "SYST:REM"', "remote.enter: 'SYST:REM', expected a list of texts"),
        ("overload_values = [9.9e37]", 'overload_values = ["OL"]', "reading.overload_values: ['OL'], expected"),
        ('query = "*IDN?"', "query = 7", "identity.query: 7, expected a text in quotes"),
        ("[functions.voltage_ac]", "[functions.voltage_as]", "functions.voltage_as: unknown key"),
        ('read = "READ?"', "", "functions.voltage_ac.read: missing"),
        ('response = "true rms"', 'response = "peak"', "functions.voltage_ac.response: 'peak', expected one of"),
        ("full_scale_V = 1.0,", "full_scale_A = 1.0,", "functions.voltage_ac.ranges[2].full_scale_V: missing"),
        ("full_scale_V = 1.0,", "full_scale_V = 10.0,", "functions.voltage_ac.ranges: expected in rising order"),
        ("pattern = '[^,]{1,80}", "pattern = '(?=A)[^,]{1,80}", "identity.pattern: "),
        ("pattern = '[^,]{1,80}", "pattern = '[^,", "identity.pattern: "),
    ],
)
def test_each_fault_of_a_meter_profile_is_one_line_with_its_key(tmp_path, old, new, problem):
    assert old in SCPI
    assert any(line.startswith(problem) for line in problems_of(tmp_path, SCPI.replace(old, new, 1)))


@pytest.mark.parametrize(
    ("text", "old", "new", "problem"),
    [
        (HALL, 'form = "hall"', 'form = "helix"', "form: 'helix', expected one of hall, plain"),
        (HALL, "max_speed_turns_per_s = 60.0", "", "spindle.max_speed_turns_per_s: missing"),
        (HALL, "[spindle]", "[plain]\n[spindle]", "plain: unknown key"),
        (PLAIN, "(?P<count>", "(?P<turns>", "plain.pattern: "),
        (PLAIN, 'unit = "turns"', 'unit = "edges"', "plain.edges_per_turn: missing"),
        (PLAIN, "resets_on_open = false", 'resets_on_open = "no"', "plain.resets_on_open: 'no', expected"),
    ],
)
def test_each_fault_of_a_counter_profile_is_one_line_with_its_key(tmp_path, text, old, new, problem):
    assert old in text
    found = problems_of(tmp_path, text.replace(old, new, 1), load_counter_profile)
    assert any(line.startswith(problem) for line in found)


def test_all_faults_come_at_once(tmp_path):
    spoilt = SCPI.replace("dtr = true", "dtr = 1").replace('name = "scpi"\n', "").replace("quiet_s", "quite_s")
    assert len(problems_of(tmp_path, spoilt)) == 3


def test_a_file_that_is_no_toml_says_so(tmp_path):
    (line,) = problems_of(tmp_path, "schema = = 1")
    assert "not a TOML file" in line


def test_beyond_the_largest_range_is_unsupported():
    with pytest.raises(Unsupported, match="largest range, 750 V"):
        load_meter_profile("scpi").functions[Quantity.VOLTAGE_AC].range_for(751.0)
