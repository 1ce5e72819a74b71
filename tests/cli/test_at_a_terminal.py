"""The survey as it stands on a terminal: whole words, and a prompt that has its line to itself."""

from __future__ import annotations

import os
import pty
import re
import struct
import termios
from fcntl import ioctl
from pathlib import Path

import pytest

from tests.cli.running import written
from tests.warm_start import Started

COLUMNS = 60
FOUND = """schema = 1
[identity]
number = "T-1"
[[as_found.winding]]
name = "heater"
nameplate_voltage = "6.3 V"
"""


def at_a_terminal(folder: Path, *arguments: str, typed: str) -> str:
    """What stands on a terminal of 60 columns after somebody typed ahead; the echo of what was typed is off."""
    ours, theirs = pty.openpty()
    ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, COLUMNS, 0, 0))
    settings = termios.tcgetattr(theirs)
    settings[3] &= ~termios.ECHO
    termios.tcsetattr(theirs, termios.TCSANOW, settings)
    process = Started(*arguments, stdin=theirs, stdout=theirs, stderr=theirs, cwd=folder)
    os.close(theirs)
    os.write(ours, typed.encode())
    said = b""
    try:
        while data := os.read(ours, 4096):
            said += data
    except OSError:  # the other side is closed: the end
        pass
    process.wait(20)
    os.close(ours)
    return said.decode().replace("\r\n", "\n")


def test_the_prompt_of_a_go_has_a_line_of_its_own(tmp_path: Path) -> None:
    written(tmp_path / "job.toml", FOUND)
    said = at_a_terminal(tmp_path, "survey", "job.toml", "--strip", "heater", typed="5\n11\ndone\n")
    assert re.search(r"off +16\.0[^\n]*\nheater, turns off in this go \(16 off so far", said)


@pytest.mark.parametrize("command", [["--read"], [], ["--strip", "heater"]])
def test_lines_break_between_words(tmp_path: Path, command: list[str]) -> None:
    written(tmp_path / "job.toml", FOUND)
    said = at_a_terminal(tmp_path, "survey", "job.toml", *command, typed="q\n")
    # The line end that Enter would echo after a prompt is missing here.
    lines = [line.split("\r\x1b[K")[-1] for line in said.replace(": stopped", ":\nstopped").splitlines()]
    assert any(len(line) > COLUMNS / 2 for line in lines)
    assert [line for line in lines if len(line) > COLUMNS] == []
