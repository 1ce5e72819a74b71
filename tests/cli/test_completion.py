"""Completion: what is offered at each place, in the shells themselves, and without waiting for it."""

from __future__ import annotations

import os
import pty
import re
import select
import shlex
import shutil
import subprocess
import sys
import time
from pathlib import Path

import click
import pytest

from bench.cli import _COMMANDS, turnproof
from bench.cli.completing import OFFERED
from bench.job.profiles import example_job
from bench.records.entry import Kind
from bench.records.store import Store
from bench.rehearsal.faults.model import FaultName
from bench.sitting.asked_words import VERDICTS
from bench.sitting.offers import FAULT_NAMES, verdicts
from tests.cli.running import turnproof as run

ROOT = Path(__file__).resolve().parents[2]
# A folder and a file as somebody has them who does not write English.
FOLDER, FILE = "Werkstatt Süd", "Küsten empfänger.toml"


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to type in, with a job file in a folder whose name has a blank and an umlaut."""
    (tmp_path / FOLDER).mkdir()
    shutil.copy(example_job("coastal-receiver"), tmp_path / FOLDER / FILE)
    shutil.copy(example_job("coastal-receiver"), tmp_path / "receiver.toml")
    (tmp_path / "notes.txt").write_text("no job", encoding="utf-8")
    (tmp_path / "shelf.toml").write_text("schema = 1\n[[wire]]\nsize = '0.4 mm'\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def offered(line: str) -> list[str]:
    """The words that are offered at the end of what is typed."""
    done = run(env={**os.environ, "COMP_LINE": line, "_TURNPROOF_COMPLETE": "fish_complete"})
    assert done.stderr == ""
    return [row.split("\t")[1] for row in done.stdout.splitlines() if row]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("turnproof wi", ["wind"]),
        ("turnproof -v dash", ["dashboard"]),
        ("turnproof nothing ", []),
        ("turnproof -v nothing w", []),
        ("turnproof wind receiver.toml --ta", ["--target"]),
        ("turnproof wind ", [f"{FOLDER}/", "receiver.toml"]),
        ("turnproof wind --bench ", [f"{FOLDER}/", "receiver.toml", "shelf.toml"]),
        ("turnproof survey receiver.toml --photo no", ["notes.txt"]),
        ("turnproof wind Werk", [f"{FOLDER}/"]),
        (r"turnproof wind Werkstatt\ Süd/", [f"{FOLDER}/{FILE}"]),
        ('turnproof wind "Werkstatt Süd/K', [f"{FOLDER}/{FILE}"]),
        ("turnproof wind receiver.toml ", ["primary", "ht", "rectifier", "heater"]),
        ("turnproof wind receiver.toml he", ["heater"]),
        ("turnproof wind missing.toml ", []),
        ("turnproof wind notes.txt ", []),
        ("turnproof survey receiver.toml --strip h", ["ht", "heater"]),
        ("turnproof program receiver.toml --winder t", ["two-linear"]),
        ("turnproof rehearse receiver.toml --fault tap", ["tap_misplaced"]),
        ("turnproof rehearse receiver.toml --fault turns_wrong:ht", ["turns_wrong:ht", "turns_wrong:ht.centre"]),
        ("turnproof demo --job gate-opener --fault turns_wrong:s", ["turns_wrong:supply24"]),
        ("turnproof test receiver.toml --meter volts=h", ["volts=hand"]),
        ("turnproof test receiver.toml --procedure before", ["before-varnish"]),
        ("turnproof read scpi@socket://192.0.2.7:5025 resis", ["resistance", "resistance_4w"]),
        ("turnproof check --schema p", ["procedure"]),
        ("turnproof guide test-by-h", ["test-by-hand"]),
        ("turnproof record list --verdict un", ["undecided", "untested"]),
        ("turnproof record list --fault core_g", ["core_gap"]),
        ("turnproof completion ", ["bash", "zsh", "fish"]),
    ],
)
def test_what_is_offered(typed: str, words: list[str], bench: Path) -> None:
    assert offered(typed) == words


def test_meters_and_counters_of_the_bench_file_come_first(bench: Path, home: Path) -> None:
    text = 'schema = 1\n[[meter]]\nname = "yellow"\nuse = "hand"\n[[counter]]\nname = "spindle"\nuse = "hall@COM3"\n'
    (home / "config").mkdir(parents=True)
    (home / "config" / "bench.toml").write_text(text, encoding="utf-8")
    assert offered("turnproof test receiver.toml --meter ")[:2] == ["yellow", "hand"]
    assert offered("turnproof wind receiver.toml ht --counter ")[:4] == ["spindle", "hand", "hall@", "plain@"]
    (bench / "other.toml").write_text(text.replace("yellow", "green"), encoding="utf-8")
    assert offered("turnproof test receiver.toml --bench other.toml --meter g") == ["green"]


def test_numbers_on_record_are_offered_and_the_record_is_left_alone(bench: Path, home: Path) -> None:
    assert offered("turnproof record TP") == []
    assert not (home / "data" / "records.sqlite").exists()
    with Store(home / "data" / "records.sqlite") as store:
        for number in ("TP-7", "TP-12", "VT-1"):
            for turns in range(3):
                store.append(number, Kind.COUNT, {"turns": float(turns)})
    assert offered("turnproof record TP") == ["TP-12", "TP-7"]
    assert offered("turnproof record certificate V") == ["VT-1"]
    assert "verify" in offered("turnproof record ")
    (home / "data" / "records.sqlite").write_bytes(b"no record at all")
    assert offered("turnproof record TP") == []


def test_what_is_half_written_offers_nothing_and_complains_of_nothing(bench: Path, home: Path) -> None:
    (bench / "half.toml").write_text('schema = 1\n[identity]\nnumber = "X', encoding="utf-8")
    (bench / "odd.toml").write_text('schema = 1\nwinding = 3\n[identity]\nnumber = "X"\n', encoding="utf-8")
    (home / "config").mkdir(parents=True)
    (home / "config" / "bench.toml").write_text("meter = 3", encoding="utf-8")
    assert offered("turnproof wind half.toml ") == []
    assert offered("turnproof wind odd.toml ") == []
    assert "hand" in offered("turnproof wind odd.toml ht --counter ")


def test_the_faults_and_verdicts_that_are_offered_are_those_that_there_are() -> None:
    assert sorted(FAULT_NAMES) == sorted(map(str, FaultName))
    assert sorted(one.word for one in verdicts("")) == sorted(VERDICTS)


# What a person must know and no file has: texts, reasons, names of steps, hashes, sizes of wood.
_FREE = {"note", "batch", "go_on_because", "head", "again", "readings", "expected", "said_frame"}
_FREE |= {"caption", "because", "equipment", "since", "until", "instrument"}
_FREE |= {"spindle", "clearance", "inside", "overhang", "cheek", "slot"}


def _params(command: click.Command) -> list[click.Parameter]:
    inner = [one for sub in getattr(command, "commands", {}).values() for one in _params(sub)]
    return [*command.params, *inner]


@pytest.mark.parametrize("name", _COMMANDS)
def test_every_word_of_a_command_is_offered_or_known_to_be_free(name: str) -> None:
    command = turnproof.get_command(click.Context(turnproof), name)
    assert command is not None
    own = {"text", "filename"} if name in ("restack", "varnish") else set[str]()  # answers to their questions
    for param in _params(command):
        plain = type(param.type) is type(click.STRING) and not getattr(param, "is_flag", False)
        assert not plain or param.name in OFFERED or param.name in _FREE or own, (name, param.name)


def test_nothing_heavy_is_imported_to_offer_a_winding(bench: Path) -> None:
    code = (
        "import sys, os\nfrom bench.cli import main\n"
        "try:\n    main([])\nexcept SystemExit:\n    pass\n"
        "heavy = ('numpy', 'scipy', 'pint', 'pydantic', 'sqlalchemy', 'PySide6', 're2', 'jinja2')\n"
        "print([m for m in heavy if m in sys.modules])"
    )
    for line in ("turnproof wind receiver.toml ", "turnproof test receiver.toml --meter ", "turnproof record T"):
        env = {**os.environ, "COMP_LINE": line, "_TURNPROOF_COMPLETE": "fish_complete", "PYTHONPATH": str(ROOT)}
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
        assert done.stdout.splitlines()[-1] == "[]", line


@pytest.fixture
def command_on_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path.parent / f"{tmp_path.name}-bin"
    folder.mkdir()
    script = folder / "turnproof"
    script.write_text(f'#!/bin/sh\nexec {shlex.quote(sys.executable)} -m bench "$@"\n', encoding="utf-8")
    script.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    monkeypatch.setenv("TERM", "dumb")


# From the start of the line: what was completed becomes the words that are printed, each in its brackets.
_PRINT_WORDS = "\x01printf '<%s>' \x05\n"


def _typed_at(shell: list[str], first: list[str], typed: str) -> list[str]:
    """Start a shell at a terminal, give it lines, then type something; the words that the line then has."""
    child, terminal = pty.fork()
    if child == 0:
        os.execvp(shell[0], shell)
    shown = ""
    try:
        for line, awaited in (*((f"{one}; echo rea''dy\n", "\nready") for one in first), (typed + _PRINT_WORDS, "><")):
            shown = ""
            os.write(terminal, line.encode())
            end = time.monotonic() + 30
            while awaited not in shown.replace("\r", "") and time.monotonic() < end:
                if select.select([terminal], [], [], 0.2)[0]:
                    shown += os.read(terminal, 65536).decode(errors="replace")
        return re.findall(r"<([^<>%]*)>", shown)
    finally:
        os.close(terminal)
        os.waitpid(child, 0)


_SHELLS = {
    "bash": (["bash", "--norc", "--noprofile", "-i"], ["source <(turnproof completion bash)"]),
    "zsh": (
        ["zsh", "-f", "-i"],
        ["stty columns 200", "autoload -U compinit", "compinit -D -u", "source <(turnproof completion zsh)"],
    ),
}


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("turnproof dashb\t", ["dashboard"]),
        ("turnproof wind Werk\tK\the\t", ["wind", f"{FOLDER}/{FILE}", "heater"]),
        (
            "turnproof rehearse rec\t--fault turns_wrong:he\t",
            ["rehearse", "receiver.toml", "--fault", "turns_wrong:heater"],
        ),
        ("turnproof test rec\t--meter amps=ha\t", ["test", "receiver.toml", "--meter", "amps=hand"]),
    ],
)
@pytest.mark.parametrize("shell", _SHELLS)
@pytest.mark.usefixtures("bench", "command_on_path")
def test_the_tab_key_of_a_shell(shell: str, typed: str, words: list[str]) -> None:
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed: its completion was NOT run")
    argv, first = _SHELLS[shell]
    assert _typed_at(argv, first, typed) == ["turnproof", *words]


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("turnproof dashb", "dashboard"),
        (r"turnproof wind Werkstatt\ Süd/", f"{FOLDER}/{FILE}"),
        ("turnproof rehearse receiver.toml --fault turns_wrong:he", "turns_wrong:heater"),
    ],
)
@pytest.mark.usefixtures("bench", "command_on_path")
def test_fish_offers_it(typed: str, word: str) -> None:
    if shutil.which("fish") is None:
        pytest.skip("fish is not installed: its completion was NOT run")
    script = f"turnproof completion fish | source; complete -C {shlex.quote(typed)}"
    done = subprocess.run(["fish", "--no-config", "-c", script], capture_output=True, text=True, check=True)
    assert [line.split("\t")[0] for line in done.stdout.splitlines()] == [word]
