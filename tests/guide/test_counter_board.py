"""The page about the counter board does not drift: what can be run on it is run."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import tomllib
import xml.etree.ElementTree as ElementTree
from importlib import import_module
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from serial.tools import miniterm

from bench.job.bench_file import BenchFile
from drivers.address import Address
from drivers.counter_profile import CounterProfile, counter_profile_from
from drivers.countline import Answer, HallDecoder, HallLine, Hello, PlainDecoder, PlainLine, check_sum
from drivers.profile_files import load_counter_profile

from .board import FIRMWARE, Board, firmware

GUIDE = Path(__file__).resolve().parents[2] / "bench" / "guide"
PAGE = (GUIDE / "counter-board.md").read_text(encoding="utf-8")
DRAWINGS = ("counter-board-wiring.svg", "counter-board-magnets.svg")


def blocks(kind: str) -> list[str]:
    """The fenced blocks of a kind, wherever they are indented."""
    found = re.findall(rf"^( *)```{kind}\n(.*?)^\1```$", PAGE, re.M | re.S)
    return ["\n".join(line.removeprefix(indent) for line in body.splitlines()) for indent, body in found]


def table(first_heading: str) -> list[list[str]]:
    """The rows of the table whose first heading is this, without heading and rule."""
    lines = PAGE.splitlines()
    begin = next(n for n, line in enumerate(lines) if line.strip().startswith(f"| {first_heading} |"))
    rows = []
    for line in lines[begin + 2 :]:
        if not line.strip().startswith("|"):
            break
        rows.append([cell.strip() for cell in line.strip().strip("|").split(" |")])
    return [[cell.strip() for cell in row] for row in rows]


def commands() -> list[list[str]]:
    return [shlex.split(line) for block in blocks("sh") for line in block.splitlines() if line.strip()]


def framed_lines() -> list[str]:
    """Every line of the board on the page, without the two that describe it."""
    lines = [line for block in blocks("text") for line in block.splitlines()]
    return [line for line in lines if line.startswith("hall ") and "BOOT" not in line]


def profile_of_the_page() -> CounterProfile:
    (text,) = [block for block in blocks("toml") if "[plain]" in block]
    return counter_profile_from(tomllib.loads(text), "the page's profile")


# -- lines and check sums


def test_every_line_of_the_board_is_read_as_what_it_is():
    for line in framed_lines():
        (decoded,) = HallDecoder().feed(f"{line}\n".encode())
        wanted = {"1": HallLine, "hello": Hello, "ok": Answer, "no": Answer}[line.split()[1]]
        assert type(decoded) is wanted, line


def test_the_worked_line_says_what_the_page_says():
    first, second = (HallDecoder().feed(f"{line}\n".encode())[0] for line in framed_lines() if " 120" in line)
    assert (first.boot, first.line, first.ms, first.edges, first.per, first.doubt) == (7, 1205, 60480, -3, 8, 0)
    assert first.edges / first.per == -0.375
    assert "-0.375 turns" in PAGE
    assert second.doubt == 4


def test_the_check_sums_of_commands_fit_and_the_board_obeys_them():
    framed = [line for block in blocks("text") for line in block.splitlines() if re.match(r"(aim|stop) ", line)]
    assert len(framed) == 2
    with firmware() as modules:
        board = Board(modules)
        for line in framed:
            body, crc = line.rsplit(" ", 1)
            assert f"{check_sum(body.encode()):04X}" == crc
            assert board.type(line).splitlines()[-1].startswith(f"hall ok {body.split()[0]} ")


def test_the_name_of_the_check_sum_and_its_test_value():
    assert f"{check_sum(b'123456789'):04X}" == "29B1"
    assert "of `123456789` it is 29B1" in PAGE


def test_the_snippet_prints_what_it_says(capsys: pytest.CaptureFixture[str]):
    (snippet,) = blocks("python")
    exec(snippet)
    assert capsys.readouterr().out.strip() == re.search(r"# ([0-9A-F]{4})$", snippet, re.M)[1]


# -- words to the board


def test_the_session_is_what_the_board_answers():
    (session,) = [block for block in blocks("text") if block.startswith("> ")]
    typed = re.findall(r"^> (.*)\n(.*)$", session, re.M)
    with firmware() as modules:
        board = Board(modules)
        board.rest(0.1)
        assert [(word, board.type(word)) for word, _ in typed] == typed


def test_at_rest_one_sees_the_lines_of_the_page():
    at_rest = next(block for block in blocks("text") if block.startswith("hall 1 7 1 "))
    with firmware() as modules:
        board = Board(modules)
        board.rest(0.6)
        assert [line for line in board.lines if line.startswith("hall 1 ")] == at_rest.splitlines()


def test_the_table_of_commands_is_what_the_program_obeys():
    named = [word for row in table("command") for word in re.findall(r"`([^`]+)`", row[0])]
    with firmware() as modules:
        board = Board(modules)
        board.rest(0.01)
        for each in named:
            said = board.type("identify" if each == "identify" else f"! {re.sub('WARN|N', '8', each)}")
            assert said.startswith(("hall ok ", "hall hello ")), each
        known = board.type("! leap").split("expected ")[1].rsplit(" ", 1)[0]
    assert {each.split()[0] for each in named} == set(re.split(r", | or ", known))


# -- the check by hand


def test_ten_turns_forward_and_back_and_rocking():
    assert "80 more (two magnets, two switches)" in PAGE
    with firmware() as modules:
        board = Board(modules)
        edges = board.program.edges
        board.turn(10, 10)
        assert edges.count == 80
        board.turn(-10, 10)
        assert edges.count == 0
        for _ in range(50):
            board.turn(0.05, 0.05)
            board.turn(-0.05, 0.05)
        assert abs(edges.count) <= 1


def test_the_stop_output_does_what_the_table_says():
    with firmware() as modules:
        board = Board(modules)
        board.rest(0.01)
        assert not board.high
        board.press()
        assert board.high
        board.type("! set 0")
        assert board.type("! target 40 16").split()[-2] == "run=1"
        board.turn(4.9, 4.9)
        assert board.high
        board.turn(0.3, 0.3)
        assert not board.high
        board.turn(-2, 2)
        assert not board.high
        board.press()
        assert board.high
        board.type("! stop")
        assert not board.high


def test_past_the_target_the_button_lets_the_winder_run_on():
    with firmware() as modules:
        board = Board(modules)
        board.type("! target 40 16")
        board.press()
        board.turn(6, 6)
        assert not board.high
        board.press()
        board.turn(20, 20)
        assert board.high


def test_the_buzzer_warns_at_the_edge_that_the_page_names():
    (target, warn) = map(int, re.search(r"`! target (\d+) (\d+)`, turn forward", PAGE).groups())
    assert f"warns at {target - warn} edges" in PAGE


# -- places


def test_angles_and_edges_follow_from_the_magnets():
    rows = table("`MAGNETS`")
    for magnets, row in zip((1, 2, 3, 4), rows, strict=True):
        degrees = [float(cell.strip("°± ")) for cell in row[1:4]]
        assert degrees == [360 / magnets, 90 / magnets, 45 / magnets]
        assert [int(row[0]), int(row[4]), int(row[5])] == [magnets, 4 * magnets, 2 * magnets]
        assert f">A to B: {90 / magnets:g}°<" in (GUIDE / DRAWINGS[1]).read_text(encoding="utf-8")


@pytest.mark.parametrize("shift", [0.126, 0.25, 0.374])
def test_within_the_tolerance_every_edge_counts(shift: float):
    with firmware() as modules:
        board = Board(modules, shift=shift)
        board.turn(3, 3)
        assert (board.program.edges.count, board.program.edges.doubt) == (24, 0)


@pytest.mark.parametrize(
    ("closed", "shift", "edges"), [(0.1, 0.05, 24), (0.1, 0.25, 0), (0.2, 0.1, 24), (0.2, 0.25, 0), (0.9, 0.05, 24)]
)
def test_the_second_switch_must_overlap_the_first(closed: float, shift: float, edges: int):
    with firmware() as modules:
        board = Board(modules, closed=closed, shift=shift)
        board.turn(3, 3)
        assert board.program.edges.count == edges


def test_a_whole_step_may_be_added():
    assert "22.5° + 90° = 112.5°" in PAGE
    with firmware() as modules:
        board = Board(modules, shift=1.25)
        board.turn(3, 3)
        assert board.program.edges.count == 24


def test_one_switch_counts_upwards_either_way():
    with firmware() as modules:
        modules["settings"].SENSORS = 1
        board = Board(modules)
        board.turn(3, 3)
        board.turn(-3, 3)
        assert board.program.edges.count == 6 * 4


def test_the_dead_time_of_the_page_is_that_of_the_settings():
    turn_us = 60e6 / 3000
    closed_us = turn_us / 4 * 2 / 5
    with firmware() as modules:
        assert closed_us / 5 == modules["settings"].DEAD_US
    assert f"closed for {closed_us:.0f} µs, a fifth is {closed_us / 5:.0f} µs" in PAGE
    assert f"at 400 rpm {400 * 3000 / 400:.0f} µs" in PAGE


# -- pins, files, commands


def test_pins_are_those_of_the_settings():
    rows = [row for row in table("pin") if row[1]]
    drawing = (GUIDE / DRAWINGS[0]).read_text(encoding="utf-8")
    with firmware() as modules:
        settings = vars(modules["settings"])
    named = {}
    for pin, cell, *_ in rows:
        name, number = re.fullmatch(r"`(\w+) = (\d+)`", cell).groups()
        named[name] = int(number)
        assert pin == f"GP{number}"
        assert f">{pin}<" in drawing
    assert named == {name: value for name, value in settings.items() if name.startswith("PIN_")}


def test_every_setting_is_explained():
    with firmware() as modules:
        names = {name for name in vars(modules["settings"]) if name.isupper() and name != "FIRMWARE"}
    assert {name for name in names if f"`{name}" not in PAGE} == set()


def test_the_copy_commands_name_every_file_of_the_board():
    copied = [word for line in commands() if line[0] == "mpremote" and "cp" in line for word in line if ".py" in word]
    assert sorted(copied) == sorted(file.name for file in FIRMWARE.glob("*.py"))
    assert copied[-1] == "main.py"


def test_the_line_of_python_copies_the_files(tmp_path: Path):
    (line,) = [words for words in commands() if words[:2] == ["python", "-c"]]
    ran = subprocess.run([sys.executable, *line[1:]], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "counter-board"
    assert {file.name for file in FIRMWARE.glob("*.py")} <= {
        file.name for file in (tmp_path / "counter-board").iterdir()
    }


def test_commands_of_the_tool_are_understood():
    for words in commands():
        if words[0] != "turnproof":
            assert words[0] in {"pip", "mpremote", "cd", "python"}, words
            continue
        command: click.Command = import_module(f"bench.cli.{words[1]}").command
        command.make_context(words[1], words[2:])
        for address in (word for word in words if "@" in word):
            Address.parse(address)


def test_the_terminal_program_takes_its_options(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    first, *_ = [words for words in commands() if "serial.tools.miniterm" in words]
    monkeypatch.setattr(sys, "argv", [*first[2:], "--help"])
    with pytest.raises(SystemExit, match="0"):
        miniterm.main()
    assert "-e, --echo" in capsys.readouterr().out


def test_check_takes_the_profile_of_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    (text,) = [block for block in blocks("toml") if "[plain]" in block]
    (tmp_path / "my-counter.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    (words,) = [words for words in commands() if words[:2] == ["turnproof", "check"]]
    assert (
        CliRunner().invoke(import_module("bench.cli.check").command, words[2:], standalone_mode=False).return_value == 0
    )


# -- counters that people have


def test_the_bench_file_is_one():
    (text,) = [block for block in blocks("toml") if "[[counter]]" in block]
    bench = BenchFile.model_validate(tomllib.loads(text))
    assert [(each.name, each.use) for each in bench.counter] == [("spindle", "hall@/dev/ttyACM0")]
    assert "--counter spindle" in PAGE


def test_patterns_read_their_lines():
    text = next(block for block in blocks("toml") if "[plain]" in block)
    rows = table("line")
    assert [row[0] for row in rows] == ["`Turns: 412`", "`412;0;3`", "`T=00412 D=F`"]
    for line, pattern, count in rows:
        data = tomllib.loads(text)
        data["plain"]["pattern"] = pattern.strip("`")
        assert _read(counter_profile_from(data, "row"), line.strip("`")) == int(count)


def test_the_profile_of_the_page_reads_its_board():
    assert _read(profile_of_the_page(), "412;0;3") == 412


def test_the_profile_that_ships_reads_the_first_and_the_third_and_not_the_second():
    plain = load_counter_profile("plain")
    assert [_read(plain, line) for line in ("Turns: 412", "412;0;3", "T=00412 D=F")] == [412, None, 412]


def test_every_key_of_the_plain_profile_is_explained():
    shipped = tomllib.loads((GUIDE.parents[1] / "profiles" / "counters" / "plain.toml").read_text(encoding="utf-8"))
    keys = {key for key, value in shipped.items() if not isinstance(value, dict)}
    keys |= {key for value in shipped.values() if isinstance(value, dict) for key in value}
    explained = {key for row in table("key") for key in re.findall(r"`(\w+)`", row[0])}
    assert keys == explained


def _read(profile: CounterProfile, line: str) -> int | None:
    assert profile.plain is not None
    (decoded,) = PlainDecoder(profile.plain, profile.line_limit).feed(f"half a line\r\n{line}\r\n".encode())
    return decoded.number if isinstance(decoded, PlainLine) else None


# -- the page itself


def test_links_and_drawings_are_there():
    anchors = {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in re.findall(r"^## (.*)$", PAGE, re.M)}
    for target in re.findall(r"\]\(([^)]+)\)", PAGE):
        assert target.removeprefix("#") in anchors if target.startswith("#") else (GUIDE / target).is_file(), target
    assert all(f"({name})" in PAGE for name in DRAWINGS)


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawings_are_plain_and_say_in_words_what_they_show(name: str):
    root = ElementTree.parse(GUIDE / name).getroot()
    space = "{http://www.w3.org/2000/svg}"
    assert root.find(f"{space}title") is not None
    assert root.find(f"{space}desc") is not None
    tags = {each.tag.removeprefix(space) for each in root.iter()}
    assert tags <= {"svg", "title", "desc", "g", "rect", "path", "circle", "text"}
    assert root.get("width") == "800"


def test_what_must_be_said_is_said():
    prose = " ".join(PAGE.split())
    said = ("**Untested on hardware.**", "no emergency stop", "licensed", "electrical code comes first", "no gloves")
    assert [words for words in said if words not in prose] == []
    assert "No emergency stop." in (GUIDE / DRAWINGS[0]).read_text(encoding="utf-8")
