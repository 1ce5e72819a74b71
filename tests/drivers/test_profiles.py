"""Profiles: those that come along are sound, and what is wrong with one is said all at once."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drivers import profile_files
from drivers.errors import ProfileError, Unsupported
from drivers.meter_profile import Response
from drivers.meter_profile_tables import meter_profile_from
from drivers.profile_files import load_counter_profile, load_meter_profile, profile_names
from drivers.reading import Quantity

SCPI = (Path(profile_files.__file__).parent.parent / "profiles/meters/scpi.toml").read_text()
MORE = {
    name: (Path(profile_files.__file__).parent.parent / f"profiles/meters/{name}.toml").read_text()
    for name in ("words-prompt", "numbered-functions", "scpi-init-fetch", "mean-handheld", "displayed-value")
}
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


def test_an_own_file_named_without_its_ending_is_pointed_out(tmp_path, monkeypatch):
    (tmp_path / "mine.toml").write_text("", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ProfileError, match=r"a \.toml file of your own; did you mean the file mine\.toml\?$"):
        load_meter_profile("mine")
    with pytest.raises(ProfileError, match=r"a \.toml file of your own$"):
        load_meter_profile("yours")


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
        ("[functions.voltage_ac]", "[functions.volt_ac]", "functions.volt_ac: unknown key; did you mean voltage_ac?"),
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


@pytest.mark.parametrize(
    ("name", "old", "new", "problem"),
    [
        ("words-prompt", 'prompt = "=>"\n', "", "interface.prompt: missing, expected the prompt that follows"),
        ("words-prompt", 'prompt_command_error = "?>"', 'prompt_command_error = "=>"', "interface.prompt: two of"),
        ("words-prompt", "echo = true", 'echo = "yes"', "interface.echo: 'yes', expected true or false"),
        (
            "words-prompt",
            "longest_message = 350",
            "longest_message = 8",
            "interface.longest_message: 'TRIGGER 1' has 9",
        ),
        (
            "words-prompt",
            'device_clear = "\\u0003"',
            'device_clear = "\\u00e4"',
            "interface.device_clear: 'ä', expected",
        ),
        ("words-prompt", 'word = "2"', 'word = "1"', "functions.voltage_ac.ranges: two ranges have the same word"),
        ("words-prompt", '"RANGE {range}"', '"RANGE 1"', "functions.voltage_ac.ranges: a word, but no message has"),
        (
            "words-prompt",
            "from_Hz = 45.0, to_Hz = 10000.0",
            "from_Hz = 55.0, to_Hz = 10000.0",
            "functions.voltage_ac.ra",
        ),
        (
            "words-prompt",
            "from_Hz = 45.0, to_Hz = 10000.0",
            "from_Hz = 45.0, to_Hz = 45.0",
            "functions.voltage_ac.bands[2]",
        ),
        (
            "words-prompt",
            "crest_factor_full_scale = 3.0",
            "crest_factor_full_scale = 7.0",
            "functions.voltage_ac.crest_f",
        ),
        ("words-prompt", 'probe = "FUNC?"', "query = 3", "identity.query: 3, expected a text in quotes"),
        (
            "words-prompt",
            'verify = ["FUNC?", "RANGE?"]',
            'verify = "FUNC?"',
            "functions.voltage_ac.verified: 2 patterns",
        ),
        ("words-prompt", 'select = ["VAC", "RANGE {range}"]\n', "", "functions.voltage_ac.select: missing"),
        (
            "words-prompt",
            '{ "VAC" = 1.0 }',
            '{ "VAC" = "1" }',
            "functions.voltage_ac.units.VAC: '1', expected a number",
        ),
        ("words-prompt", '{ "VAC" = 1.0 }', '{ " VAC" = 1.0 }', "functions.voltage_ac.units: ' VAC', expected ASCII"),
        ("numbered-functions", 'acknowledge = "OK"\n', "", "interface.acknowledge: missing"),
        ("numbered-functions", "(?P<code>", "(?P<number>", "errors.pattern: "),
        (
            "numbered-functions",
            "decimal_comma = true",
            'decimal_comma = true\nseparator = ","\ncount = 2',
            "reading.sep",
        ),
        ("scpi-init-fetch", "element = 1", "element = 4", "reading.element: 4, expected no more than count, 3"),
        ("scpi-init-fetch", "count = 3\n", "", "reading.count: missing"),
        ("scpi-init-fetch", 'arm = "INIT"', 'arm = "INI\\nT"', "functions: 'INI\\nT' can't be sent"),
        ("scpi-init-fetch", 'query = "*OPC?"\n', "", "completion.query: missing"),
        ("scpi-init-fetch", "within_s = 5.0", "within = 5.0", "completion.within: unknown key"),
        (
            "mean-handheld",
            "skip = ['LO BAT', 'FUNCTION']",
            "skip = ['.*']",
            "interface.skip: '.*' would skip a reading",
        ),
        ("mean-handheld", "refresh_s = 0.5\n", "", "functions.voltage_ac.refresh_s: missing"),
        (
            "displayed-value",
            'taking = "displayed"',
            'taking = "shown"',
            "functions.voltage_ac.taking: 'shown', expected",
        ),
    ],
)
def test_each_fault_of_a_dialect_is_one_line_with_its_key(tmp_path, name, old, new, problem):
    assert old in MORE[name]
    found = problems_of(tmp_path, MORE[name].replace(old, new, 1))
    assert any(line.startswith(problem) for line in found), found


def test_a_profile_answers_what_is_said_first_on_an_unknown_line():
    call = load_meter_profile("words-prompt").first_call
    assert (call.device_clear, call.query, call.probe) == (b"\x03", "FUNC?", True)
    assert (call.terminator_sent, call.terminator_received, call.manners.prompt) == (b"\r", b"\r\n", b"=>")
    assert call.pattern.fullmatch("VAC")
    assert str(call.line) == "9600 7E1"


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("A,M,0042,1.0", "A,M,0042,1.1", True),
        ("A,M,0042,1.0", "A, M, 0042, 1.0", True),
        ("A,M,0042,1.0", "A,M,0043,1.0", False),
        ("A,M,0042,1.0", "A,N,0042,1.0", False),
        ("A,M,0,1.0", "A,M,0,1.0", True),
        ("A,M,0,1.0", "A,M,0,1.1", False),
        ("A,M", "A,M", True),
    ],
)
def test_a_meter_is_known_again_by_its_serial_number(one, other, same):
    assert load_meter_profile("scpi").same_meter(one, other) is same


def test_the_serial_number_is_where_the_profile_says():
    profile = load_meter_profile("scpi-suffix-range")
    assert profile.serial_number("A, B, C, 5551, 0.3") == "5551"
    assert profile.serial_number("A, B, C, 0, 0.3") is None
    assert load_meter_profile("words-prompt").serial_number("A,B,C,D") is None


def test_all_faults_come_at_once(tmp_path):
    spoilt = SCPI.replace("dtr = true", "dtr = 1").replace('name = "scpi"\n', "").replace("quiet_s", "quite_s")
    assert len(problems_of(tmp_path, spoilt)) == 3


_JUNK = st.one_of(
    st.integers(-10, 10**12),
    st.floats(),
    st.booleans(),
    st.text(max_size=6),
    st.sampled_from(["(", "(?P<range>", "ä\n", "{range}", ">", ",", "\x00"]),
    st.lists(st.one_of(st.text(max_size=3), st.integers(), st.floats()), max_size=3),
    st.dictionaries(st.text(max_size=3), st.one_of(st.text(max_size=3), st.floats()), max_size=2),
    st.builds(lambda: [{}]),
)


def places_in(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The way to everything in a profile's tables."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *[place for key, each in inner for place in places_in(each, (*path, key))]]


def problems_in(tables: dict[str, object]) -> list[str]:
    """What is wrong with a profile, a line each; nothing where it loads and says only what can be sent."""
    try:
        profile = meter_profile_from(tables, "mine")
    except ProfileError as error:
        return str(error).splitlines()
    return [message for message in profile.messages() if not message.isascii()]


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_whatever_stands_in_a_profile_it_loads_or_says_what_is_wrong(data):
    tables = tomllib.loads(MORE[data.draw(st.sampled_from(sorted(MORE)))])
    for _ in range(data.draw(st.integers(1, 3))):
        *way, last = data.draw(st.sampled_from(places_in(tables)[1:]))
        inner = tables
        for key in way:
            inner = inner[key]
        inner[last] = data.draw(_JUNK)
    assert all(line.startswith("mine: ") for line in problems_in(tables))


def test_a_file_that_is_no_toml_says_so(tmp_path):
    (line,) = problems_of(tmp_path, "schema = = 1")
    assert "not a TOML file" in line


def test_beyond_the_largest_range_is_unsupported():
    with pytest.raises(Unsupported, match="largest range, 750 V"):
        load_meter_profile("scpi").functions[Quantity.VOLTAGE_AC].range_for(751.0)
