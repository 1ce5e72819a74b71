"""Bad job and bench files: one clear line for each thing that is wrong, with file, key and what was expected."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.job.file import FileProblem, read_bench_file, read_job
from bench.job.profiles import example_job

HEAD = 'schema = 1\n[identity]\nnumber = "X-1"\n'
PRIMARY = '[[winding]]\nname = "p"\nrole = "primary"\n'
FOOT = "schema = 1\n[foot_switch]\n"
SUPPLY = '[supply]\nvoltage = "230 V"\nfrequency = "50 Hz"\n'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("schema = 1\n[identity\n", "not TOML"),
        ('schema = 2\n[identity]\nnumber = "X"\n', "schema: 2 is newer than this program, expected 1"),
        ('[identity]\nnumber = "X"\n', "schema: missing, expected schema = 1"),
        ("schema = 1\n", "identity: missing"),
        ('schema = 1\n[identity]\nname = "n"\n', "identity.number: missing"),
        (HEAD + '[supply]\nvoltage = "230 V"\n', "supply.frequency: missing"),
        (HEAD + PRIMARY + 'wier = "0.4 mm"\n', "winding.p.wier: unknown key, did you mean 'wire'?"),
        (HEAD + '[weather]\nrain = "yes"\n', "weather: unknown key"),
        (HEAD + SUPPLY.replace("230 V", "230 mm"), "supply.voltage: '230 mm' is a length, expected a voltage"),
        (HEAD + SUPPLY.replace('"230 V"', "230"), "supply.voltage: 230 has no unit, expected a voltage"),
        (HEAD + SUPPLY.replace("50 Hz", "50 kHz"), "supply.frequency:"),
        (HEAD + SUPPLY.replace("230 V", "-230 V"), "supply.voltage:"),
        (HEAD + SUPPLY.replace("230 V", "1,000 V"), "can mean a thousand or a fraction"),
        (HEAD + PRIMARY + 'turns = "662"\n', "winding.p.turns: '662', expected a whole number without quotes"),
        (HEAD + PRIMARY + "turns = 6.5\n", "winding.p.turns: 6.5, expected a whole number"),
        (HEAD + PRIMARY + "turns = 0\n", "winding.p.turns: 0, expected more than 0"),
        (
            HEAD + '[[winding]]\nname = "p"\nrole = "tertiary"\n',
            "winding.p.role: 'tertiary', expected 'primary' or 'sec",
        ),
        (HEAD + PRIMARY + 'wire = "99 SWG"\n', "winding.p.wire: 99 SWG is no wire size, expected 10 to 50 SWG"),
        (HEAD + '[core]\nlamination = "EI 97"\n', "core: lamination 'EI 97' is not known, expected one of EI 48"),
        (HEAD + '[core]\nsteel = "tin"\n', "core: steel 'tin' is not known, expected one of m19-29ga"),
        (HEAD + PRIMARY + 'turns = 10\ntaps = [{ name = "t", turn = 10 }]\n', "a tap of p at turn 10, expected below"),
        (HEAD + PRIMARY + "turns = 10\nlayers = [5, 4]\n", "layers of p add up to 9, expected its 10 turns"),
        (HEAD + PRIMARY + PRIMARY, "more than one winding or screen is named p"),
        (HEAD + PRIMARY + PRIMARY.replace('"p"', '"q"'), "more than one winding has the role primary"),
        (HEAD + '[[screen]]\nafter = "nobody"\n', "screen screen lies after 'nobody', expected a winding's name"),
        (HEAD + PRIMARY.replace('"p"', '"core"'), "named 'core', expected another name"),
        (HEAD + PRIMARY.replace('"p"', '"2 nd"'), "name: '2 nd', expected text that matches"),
        ("winding = 3\n" + HEAD, "winding: 3, expected a list"),
    ],
)
def test_one_clear_line_for_a_bad_job(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileProblem) as problem:
        read_job(path)
    (line,) = problem.value.lines
    assert line.startswith(f"{path}: ")
    assert told in line
    assert "\n" not in line


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('schema = 1\n[[meter]]\nname = "m"\nuse = "yellow"\n', "meter.m.use: 'yellow' is no instrument"),
        ('schema = 1\n[[meter]]\nuse = "hand"\n', "name: missing"),
        (
            'schema = 1\n[[meter]]\nname = "m"\nuse = "hand"\naccuracy = { voltage_ac = "good" }\n',
            "meter.m.accuracy.voltage_ac: 'good' is no accuracy, expected such as '1.2 % + 3 counts'",
        ),
        (
            'schema = 1\n[resistor]\nresistance = "1 kW"\n',
            "resistor.resistance: '1 kW' is a power, expected a resistance",
        ),
        (
            'schema = 1\n[[meter]]\nname = "m"\nuse = "hand"\naccuracy = { voltage_ac = "1 % + 1 % of range" }\n',
            "meter.m.accuracy.voltage_ac: percent of range where the range is not known",
        ),
        (
            'schema = 1\n[[meter]]\nname = "m"\nuse = "scpi@COM1"\n'
            '[[meter.calibration]]\nquantity = "voltage_ac"\naccuracy = "1 %"\nrange = "10 ohm"\n',
            "range: '10 ohm' is a resistance, expected a voltage",
        ),
        (
            'schema = 1\n[[meter]]\nname = "m"\nuse = "scpi@COM1"\nlacks = ["current_ac"]\n',
            "meter.m: lacks: only of a meter with use = 'hand'; of one on a line its profile says it",
        ),
        (
            'schema = 1\n[[meter]]\nname = "m"\nuse = "hand"\n'
            '[[meter.calibration]]\nquantity = "voltage_ac"\naccuracy = "1 %"\n',
            "meter.m: calibration: only of a meter on a line; of one that is read by hand, accuracy",
        ),
        ('schema = 1\n[limiter]\nkind = "fuse"\n', "limiter.kind: 'fuse', expected 'lamp' or 'resistor'"),
        ('schema = 1\nmetre = "x"\n', "metre: unknown key, did you mean 'meter'?"),
        (FOOT + 'port = "COM5"\nkey = "b"\n', "foot_switch: both port and key, expected one of them"),
        (FOOT + 'line = "dsr"\n', "foot_switch: line without port, expected port, or key alone"),
        (FOOT + 'port = "COM5"\nline = "rts"\n', "foot_switch.line: 'rts', expected 'cts', 'dsr', 'ri', 'cd' or 'by"),
        (FOOT + 'port = "hall@COM5"\n', "foot_switch.port: 'hall@COM5' is no serial port, expected such as '/dev/tty"),
        (FOOT + 'port = "socket://pi:7"\n', "foot_switch.port: 'socket://pi:7' is no serial port"),
        (FOOT + 'port = ""\n', "foot_switch.port: '' is no serial port"),
        (FOOT + "port = 5\n", "foot_switch.port: 5, expected text in quotes"),
        (FOOT + 'key = "pedal"\n', "foot_switch.key: 'pedal' is no key, expected 'space', 'enter', 'tab' or one char"),
        (FOOT + 'key = "\\u0007"\n', "foot_switch.key: '\\x07' is no key"),
        (FOOT + 'prot = "COM5"\n', "foot_switch.prot: unknown key, did you mean 'port'?"),
        ('schema = 1\nfoot_switch = "COM5"\n', "foot_switch: 'COM5', expected a table of keys"),
        ("schema = 1\nfootswitch = {}\n", "footswitch: unknown key, did you mean 'foot_switch'?"),
        (
            FOOT + 'port = "COM5"\n[[counter]]\nname = "c"\nuse = "hall@COM5"\n',
            "bench.toml: foot_switch.port: COM5 is the port of counter c, expected another",
        ),
    ],
)
def test_one_clear_line_for_a_bad_bench_file(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileProblem) as problem:
        read_bench_file(path)
    (line,) = problem.value.lines
    assert told in line


def test_everything_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(HEAD + '[supply]\nvoltage = "230 mm"\n[core]\nstack = "45"\n' + PRIMARY + 'wier = 1\nturns = "9"\n')
    with pytest.raises(FileProblem) as problem:
        read_job(path)
    assert len(problem.value.lines) == 5


@pytest.mark.parametrize("content", [b"\xff\xfe\x00binary", b"\x00" * 100, b"[" * 3000])
def test_what_is_no_text_is_one_line(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    with pytest.raises(FileProblem) as problem:
        read_job(path)
    assert len(problem.value.lines) == 1


@pytest.mark.parametrize("name", ["nowhere.toml", "."])
def test_a_missing_file_and_a_folder_are_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(FileProblem, match=r"no such file|is a folder"):
        read_job(tmp_path / name)


def test_the_examples_hold_what_a_rewind_meets() -> None:
    job = read_job(example_job("coastal-receiver"))
    assert job.made_for is not None
    assert job.supply is not None
    assert (job.made_for.frequency, job.supply.frequency) == (60.0, 50.0)
    assert job.screen[0].material == "copper foil"
    assert job.get_winding("ht").taps[0].turn * 2 == job.get_winding("ht").turns
    assert job.get_winding("heater").strands == 2
    assert read_job(example_job("gate-opener")).screen == ()


EXAMPLE = example_job("coastal-receiver").read_text(encoding="utf-8")


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(EXAMPLE) - 1), st.integers(0, 12), st.text(max_size=8))
def test_a_file_with_a_slip_of_the_finger_is_a_job_or_a_told_problem(at: int, gone: int, put: str) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(EXAMPLE[:at] + put + EXAMPLE[at + gone :], encoding="utf-8", errors="replace")
        assert _told(path)


def _told(path: Path) -> bool:
    try:
        read_job(path)
    except FileProblem as problem:
        return all(line.startswith(str(path)) and "\n" not in line for line in problem.lines)
    return True
