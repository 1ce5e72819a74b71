"""The menu entry: by the specification's own rules, by the desktop's validator, and started by a desktop's launcher."""

from __future__ import annotations

import re
import shutil
import subprocess
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.desktop.entry import desktop_entry, exec_value

PLAIN = ("/opt/turnproof/bin/turnproof", "dashboard")
PATHS = [
    "/opt/turnproof/bin/turnproof",
    "/home/ö ä/Prüf stand/bin/turnproof",
    '/tmp/a "b" c/turnproof',
    "/tmp/$HOME `id`/turnproof",
    "/tmp/back\\slash/turnproof",
    "/tmp/100 %f/turnproof",
    "/tmp/semi;colon&(x)/turnproof",
    "/tmp/it's/turnproof",
    "/tmp/a=b/turnproof",
]


def string_value(text: str) -> str:
    """A value of type string: `\\s`, `\\n`, `\\t`, `\\r` and `\\\\` stand for others (section Possible value types)."""
    table = {"s": " ", "n": "\n", "t": "\t", "r": "\r", "\\": "\\"}
    return re.sub(r"\\(.)", lambda match: table[match[1]], text)


def arguments(value: str) -> list[str]:
    """The command line in Exec, by the section The Exec key: our own reading of it, written apart from the writer."""
    found: list[str] = []
    rest = string_value(value)
    while rest:
        if rest.startswith('"'):
            match = re.match(r'"((?:[^"`$\\]|\\["`$\\])*)"(?: |$)', rest)
            assert match is not None, rest
            word = re.sub(r'\\(["`$\\])', r"\1", match[1])
        else:
            match = re.match(r"([^ \t\n\"'\\><~|&;$*?#()`]+)(?: |$)", rest)
            assert match is not None, rest
            word = match[1]
        found.append(re.sub("%(.)", lambda m: {"%": "%", "f": "<file>"}[m[1]], word))
        rest = rest[match.end() :]
    return found


@pytest.mark.parametrize("path", PATHS)
def test_a_command_reads_back_as_it_was(path: str) -> None:
    read = arguments(exec_value((path, "dashboard")))
    assert read[-2:] == [path, "dashboard"]
    assert not set("=%") & set(read[0])


@given(st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")) | st.just(" "), min_size=1))
def test_any_printable_path_reads_back_as_it_was(name: str) -> None:
    assert arguments(exec_value((f"/{name}", "dashboard")))[-2:] == [f"/{name}", "dashboard"]


def test_a_path_with_an_end_of_line_is_refused() -> None:
    with pytest.raises(ValueError, match="printable"):
        desktop_entry(("/tmp/a\nExec=evil", "dashboard"))


def test_the_keys_that_an_entry_must_have() -> None:
    first, *lines = desktop_entry(PLAIN).splitlines()
    keys = dict(line.split("=", 1) for line in lines)
    assert first == "[Desktop Entry]"
    assert (keys["Type"], keys["Name"], keys["Terminal"]) == ("Application", "Turnproof", "false")
    assert arguments(keys["Exec"]) == [*PLAIN, "<file>"]
    assert string_value(keys["TryExec"]) == PLAIN[0]
    assert len(keys) == len(lines)


@pytest.mark.parametrize("path", PATHS)
def test_the_validator_of_the_desktops_has_nothing_to_say(path: str, tmp_path: Path) -> None:
    if shutil.which("desktop-file-validate") is None:
        pytest.skip("desktop-file-utils is not installed: its validator was NOT run")
    file = tmp_path / "turnproof.desktop"
    file.write_text(desktop_entry((path, "dashboard")), encoding="utf-8")
    done = subprocess.run(["desktop-file-validate", str(file)], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "")


@pytest.mark.parametrize("folder", ["plain", "Prüf stand", 'q"uo$te `x`', "a=b", "100%"])
def test_a_launcher_starts_that_very_program(folder: str, tmp_path: Path) -> None:
    if shutil.which("gio") is None:
        pytest.skip("gio is not installed: the entry was NOT run by a launcher")
    program, told = tmp_path / folder / "turnproof", tmp_path / "told"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nprintf "%s\\n" "$0" "$@" > "{told}.part" && mv "{told}.part" "{told}"\n')
    program.chmod(0o755)
    entry, job = tmp_path / "turnproof.desktop", tmp_path / "Küsten empfänger.toml"
    entry.write_text(desktop_entry((str(program), "dashboard")), encoding="utf-8")
    job.touch()
    subprocess.run(["gio", "launch", str(entry), str(job)], check=True, capture_output=True)
    end = time.monotonic() + 20
    while not told.exists() and time.monotonic() < end:
        time.sleep(0.02)
    assert told.read_text(encoding="utf-8").splitlines() == [str(program), "dashboard", str(job)]
