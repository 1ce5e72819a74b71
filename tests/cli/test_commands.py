"""Commands that need no instrument: what they say, and how they end."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from bench.cli import _COMMANDS
from tests.cli.running import JOB, lines, turnproof, written

HALF_EMPTY = 'schema = 1\n[identity]\nnumber = "X-1"\n'


@pytest.mark.parametrize("command", [[], *([name] for name in _COMMANDS)])
def test_help_fits_a_screen_and_ends_well(command: list[str]) -> None:
    done = turnproof(*command, "--help")
    assert done.returncode == 0
    assert len(done.stdout.splitlines()) <= 34
    assert done.stderr == ""


# All that `--help` may bring up besides Python's own: what is added here is paid for by everybody, at each start.
HELP_IMPORTS = {"click", "bench", "bench.cli", "bench.cli.exits", "bench.sitting", "bench.sitting.problems"}
HELP_IMPORTS |= {"bench.sitting.inert_text"}
# Of Python's own, what costs most and is not needed to print a list.
DEAR = {
    "asyncio",
    "ctypes",
    "difflib",
    "email",
    "http",
    "json",
    "logging",
    "sqlite3",
    "subprocess",
    "tomllib",
    "urllib",
}


def test_help_imports_what_it_needs_and_nothing_else() -> None:
    code = (
        "import sys\nbefore = set(sys.modules)\nfrom bench.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "print(*sorted(set(sys.modules) - before))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    imported = set(done.stdout.splitlines()[-1].split())
    ours = {name for name in imported if name.split(".")[0] not in {*sys.stdlib_module_names, "click"}}
    assert ours <= HELP_IMPORTS
    assert imported & DEAR == set()


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        (["tset"], 3, "did you mean 'test'?"),
        (["demo", "--sped", "3"], 3, "--sped"),
        (["demo", "--seed", "-1"], 3, "seed"),
        (["demo", "--job", "nothing"], 3, "expected one of coastal-receiver, gate-opener"),
        (["test", JOB], 3, "--meter"),
        (["test", "nowhere.toml", "--meter", "hand"], 3, "nowhere.toml: no such file"),
        (["test", JOB, "--meter", "yellow"], 3, "expected PROFILE@PORT"),
        (["test", JOB, "--meter", "acme@/dev/null"], 3, "profile acme: not known"),
        (["test", JOB, "--meter", "hand", "--operator", "robot"], 3, "expected terminal, json, or rehearsal@PORT"),
        (["test", JOB, "--meter", "scpi@/dev/ttyNOTHERE"], 4, "/dev/ttyNOTHERE"),
        (["read", "scpi@/dev/ttyNOTHERE", "voltage_ac"], 4, "turnproof ports"),
        (["read", "scpi@/dev/ttyNOTHERE", "volts"], 3, "expected one of voltage_ac"),
        (["read", "scpi@/dev/ttyNOTHERE", "voltage_ac", "--range", "10 mm"], 3, "is a length, expected a voltage"),
        (["count", "hall@/dev/ttyNOTHERE"], 4, "/dev/ttyNOTHERE"),
        (["count", "hall"], 3, "expected PROFILE@PORT"),
        (["wind", JOB, "hearter", "--counter", "hand"], 3, "expected one of primary, ht, rectifier, heater"),
        (["record", "TP-9999"], 3, "no record"),
        (["rehearse", JOB, "--fault", "gremlins"], 3, "gremlins"),
        (["check"], 3, "FILES"),
    ],
)
def test_what_is_wrong_is_one_line_and_a_status(arguments: list[str], status: int, told: str) -> None:
    done = turnproof(*arguments)
    assert done.returncode == status, done.stderr
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "Traceback" not in done.stderr


def test_all_that_is_wrong_with_a_job_at_once(tmp_path: Path) -> None:
    bad = written(tmp_path / "bad.toml", HALF_EMPTY + '[supply]\nvoltage = "230 mm"\nhertz = "50 Hz"\n')
    done = turnproof("check", bad)
    assert done.returncode == 3
    assert [line.partition(".toml: ")[2].partition(":")[0] for line in done.stderr.splitlines()] == [
        "supply.voltage", "supply.frequency", "supply.hertz",
    ]  # fmt: skip


def test_check_says_what_the_test_still_needs(tmp_path: Path) -> None:
    done = turnproof("check", written(tmp_path / "half.toml", HALF_EMPTY))
    assert done.returncode == 0
    assert "still needs supply.voltage and supply.frequency" in done.stdout


@pytest.mark.parametrize(
    ("left_out", "needs"),
    [
        ([r'steel = "m400-50a"'], "core.steel"),
        ([r'stack = "45 mm"'], "core.stack"),
        ([r'lamination = "EI 96"', r'steel = "m400-50a"'], "core.lamination (or tongue and window), core.steel"),
    ],
)
def test_check_names_of_the_core_only_what_is_not_there(tmp_path: Path, left_out: list[str], needs: str) -> None:
    text = Path(JOB).read_text(encoding="utf-8")
    for line in left_out:
        assert text.count(line) == 1
        text = text.replace(line, "")
    done = turnproof("check", written(tmp_path / "job.toml", text))
    assert f"  for the test it still needs {needs}: no exciting current, no watts\n" in done.stdout


def test_check_doubts_turns_that_no_steel_would_bear(tmp_path: Path) -> None:
    example = Path(JOB).read_text(encoding="utf-8")
    odd = example.replace("turns = 662", "turns = 116").replace("layers = [88, 88, 88, 88, 88, 88, 88, 46]", "")
    done = turnproof("check", written(tmp_path / "odd.toml", odd), JOB)
    # 230 V / (4.4429 x 50 Hz x 116 turns x 1.3392e-3 m2) by hand: 6.66 T.
    assert "doubtful: 116 turns at 230 V make 6.7 T" in done.stdout
    assert done.stdout.count("doubtful") == 1


def test_a_certificate_that_can_t_be_written_is_told_before_the_test(tmp_path: Path) -> None:
    done = turnproof("test", JOB, "--meter", "hand", "--certificate", str(tmp_path / "nowhere" / "page.html"))
    assert done.returncode == 3
    assert "page.html: can't be written" in done.stderr
    assert done.stdout == ""


def test_a_certificate_that_is_there_is_told_before_the_test_and_stays(tmp_path: Path) -> None:
    there = tmp_path / "c.pdf"
    there.write_bytes(b"given to somebody")
    done = turnproof("test", JOB, "--meter", "hand", "--certificate", str(there))
    assert done.returncode == 3
    assert "c.pdf: is there already" in done.stderr
    assert there.read_bytes() == b"given to somebody"


def test_check_knows_a_bench_file_and_profiles(tmp_path: Path) -> None:
    bench = written(tmp_path / "bench.toml", 'schema = 1\n[[meter]]\nname = "m"\nuse = "hand"\n')
    foot = written(tmp_path / "foot.toml", 'schema = 1\n[foot_switch]\nport = "/dev/ttyUSB0"\n')
    done = turnproof("check", bench, foot, "profiles/meters/scpi.toml", "profiles/counters/hall.toml", JOB, "--json")
    assert done.returncode == 0, done.stderr
    assert done.stdout.count('"bench file"') == 2
    assert '"meter profile"' in done.stdout
    assert '"counter profile"' in done.stdout


def test_a_test_of_a_half_empty_job_says_what_it_lacks(tmp_path: Path) -> None:
    done = turnproof("test", written(tmp_path / "half.toml", HALF_EMPTY), "--meter", "hand")
    assert done.returncode == 3
    assert "role = 'primary'" in done.stderr


def test_five_questions_make_a_job_that_checks(tmp_path: Path) -> None:
    path = tmp_path / "radio.toml"
    done = turnproof("new", str(path), typed='The "old" radio\n117 V 60 Hz\n\n28\n40 mm\n')
    assert done.returncode == 0, done.stderr
    assert "taken as 28 mm" in done.stdout
    assert turnproof("check", str(path)).returncode == 0
    again = turnproof("new", str(path), typed="x\n")
    assert again.returncode == 3
    assert "exists already" in again.stderr


def test_a_supply_is_said_as_it_was_understood_and_doubted_where_no_mains_are(tmp_path: Path) -> None:
    typed = "Radio\n115 60\n12 kV 60 Hz\nn\n4 V 50 Hz\nn\n230 V 50 Hz\n28\n40\n"
    done = turnproof("new", str(tmp_path / "r.toml"), typed=typed)
    assert done.returncode == 0, done.stderr
    assert "taken as 115 V, 60 Hz" in done.stdout
    assert "12000 V is more than 500 V: is a supply of so much meant? [y/N]" in done.stdout
    assert "4 V is less than 5 V" in done.stdout
    assert 'voltage = "230 V"' in (tmp_path / "r.toml").read_text(encoding="utf-8")
    odd = turnproof("new", str(tmp_path / "odd.toml"), typed="Sign\n230 V 50 Hz\n600 V 50 Hz\ny\n28\n40\n")
    assert odd.returncode == 0
    assert 'voltage = "600 V"' in (tmp_path / "odd.toml").read_text(encoding="utf-8")


def test_a_wrong_answer_is_asked_again(tmp_path: Path) -> None:
    done = turnproof("new", str(tmp_path / "r.toml"), typed="Radio\n117\n117 V 60 Hz\n230 V 50 Hz\n28 V\n28 mm\n40\n")
    assert done.returncode == 0, done.stderr
    assert "'28 V' is a voltage, expected a length" in done.stdout


def test_input_that_ends_in_the_middle_leaves_no_half_file(tmp_path: Path) -> None:
    done = turnproof("new", str(tmp_path / "radio.toml"), typed="Radio\n117 V 60 Hz\n")
    assert done.returncode == 130
    assert not (tmp_path / "radio.toml").exists()


def test_ports_and_an_empty_record_are_no_error() -> None:
    assert turnproof("ports", "--json").returncode == 0
    assert turnproof("record").stdout == "no records yet\n"


def test_typed_layers_are_kept_and_gone_on_from(home: Path) -> None:
    first = turnproof("wind", JOB, "primary", "--counter", "hand", typed="88\n88\neighty\n")
    assert first.returncode == 2
    assert "'eighty' is no number of turns" in first.stderr
    assert "176 of 662 turns so far, kept" in first.stderr
    second = turnproof("wind", JOB, "primary", "--counter", "hand", "--json", typed="88\n88\n88\n88\n88\n46\n")
    assert second.returncode == 0, second.stderr
    assert "going on from 176 turns in 2 layers" in second.stderr
    assert lines(second.stdout)[-1]["turns"] == 662
    assert "chain whole" in turnproof("record", "verify", JOB).stdout


def test_a_typed_winding_past_its_target_is_not_done_quietly() -> None:
    done = turnproof("wind", JOB, "heater", "--counter", "hand", typed="21\n")
    assert done.returncode == 2
    assert "2 turns past the target of 19" in done.stderr


def test_two_programs_on_one_job_the_second_is_told(home: Path) -> None:
    first = subprocess.Popen(
        [sys.executable, "-m", "bench", "wind", JOB, "heater", "--counter", "hand"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert first.stdout is not None
    first.stdout.read(10)  # the prompt: it holds the lock
    second = turnproof("wind", JOB, "heater", "--counter", "hand")
    first.kill()
    first.communicate()
    assert second.returncode == 4
    assert f"held by process {first.pid}" in second.stderr
