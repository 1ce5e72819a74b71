"""At a terminal with a meter on a line nobody presses a key while the unit is live: the reading takes itself."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import termios
from pathlib import Path

import pytest

from bench.operators.rehearsal import ControlPort
from tests.cli.running import JOB, rehearsal
from tests.cli.typist import ENDS, Typist
from tests.warm_start import Started

_NO_KEY = re.compile(r"\(no key: [^\n]*\)\n\Z")
_DONE = re.compile(r"(?:done\? |(\w+) \[\w+\]: )\Z")


class AtTheTerminal(Typist):
    """Does what is asked, and types only where a prompt waits; leaves after so many feeds that asked for no key."""

    def __init__(self, control: ControlPort, feeds: int) -> None:
        super().__init__(control)
        self._feeds = feeds
        self.live = False
        self.keys_while_live = 0

    def sit_at(self, terminal: int) -> str:
        said, block = "", ""
        try:
            while data := os.read(terminal, 1):
                sign = data.decode("utf-8", "replace").replace("\r", "")
                block += sign
                if sign not in ENDS:
                    continue
                if _NO_KEY.search(block):
                    self._do(block, moved=False)
                    self._feeds -= 1
                    self.live = True
                elif (prompt := _DONE.search(block)) is not None:
                    if "Volts to zero" in block:
                        self.live = False
                    self.keys_while_live += self.live
                    key = "q\nenough\n" if self._feeds <= 0 and not self.live else self._answer(block, prompt.group(1))
                    os.write(terminal, f"{key}\n".encode())
                else:
                    continue
                said, block = said + block, ""
        except OSError:  # the other side is closed: the end
            pass
        return said + block


@pytest.mark.long
def test_volts_that_can_hurt_need_no_key_and_their_readings_are_taken(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    settings = termios.tcgetattr(theirs)
    settings[1] &= ~termios.OPOST
    settings[3] &= ~termios.ECHO
    termios.tcsetattr(theirs, termios.TCSANOW, settings)
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):
        test = Started(
            "test", JOB, "--meter", ports["meter"],
            stdin=theirs, stdout=theirs, stderr=subprocess.STDOUT, env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        os.close(theirs)
        person = AtTheTerminal(control, feeds=4)
        said = person.sit_at(ours)
        status = test.wait(20)
    os.close(ours)
    assert status in (2, 4), said[-2000:]
    assert person.keys_while_live == 0
    readings = re.findall(r"(first_power|exciting:\d+): voltage_ac ([\d.]+) (m?)V", said)
    assert [name for name, _, _ in readings][:3] == ["first_power"] * 3
    assert [float(volts) for _, volts, _ in readings][:3] == sorted(float(volts) for _, volts, _ in readings[:3])
    assert any(name.startswith("exciting") for name, _, _ in readings)
