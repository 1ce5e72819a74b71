"""A whole test by JSON lines against the rehearsal, killed at random places: it goes on each time, and asks nothing
twice."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
from pathlib import Path
from typing import Any

import pytest

from bench.operators.rehearsal import ControlPort
from tests.cli.running import JOB, rehearsal, turnproof
from tests.warm_start import Started

BENCH = 'schema = 1\n[resistor]\nresistance = "1 kohm"\n'
KILLS = 10


class Fixture:
    """A relay that passes asks on to the rehearsal's hand; it outlives the programs that ask."""

    def __init__(self, control: ControlPort, command: list[str], seed: int) -> None:
        self._control = control
        self._command = command
        self._chance = random.Random(seed)
        self.entered: list[str] = []
        self.confirmed: list[str] = []
        self.first_asks: list[dict[str, Any]] = []
        self.live_at_kill = 0

    def sitting(self, answers: int | None) -> dict[str, Any] | None:
        """One program; it is killed after so many answers, before or after the next ask is read.  Its result."""
        test = Started(
            *self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        assert test.stdin is not None
        assert test.stdout is not None
        first, live = True, False
        try:
            while True:
                line = test.stdout.readline()
                ask = json.loads(line)
                if "result" in ask:
                    return dict(ask["result"])
                if first:
                    self.first_asks.append(ask)
                    first = False
                if answers == 0:
                    self.live_at_kill += live
                    return None
                live = ask["volts"] != "0 V" if ask["ask"] == "excite" else live
                test.stdin.write(self._answer(ask) + "\n")
                test.stdin.flush()
                if answers is not None:
                    answers -= 1
                    if answers == 0 and self._chance.random() < 0.5:
                        return None
        finally:
            test.kill()
            test.wait(10)
            test.stdin.close()
            test.stdout.close()

    def _answer(self, ask: dict[str, Any]) -> str:
        if ask["ask"] == "enter":
            self.entered.append(f"{ask['step']} {ask.get('between', '')}")
        if ask["ask"] == "confirm":
            self.confirmed.append(ask["step"])
            if ask["step"] == "resumed":
                place = {"from": "primary.start", "to": "primary.finish", "winding": "primary"}
                self._control.do("excite", volts="0 V", **place)
        return self._control.line(ask)


@pytest.mark.long
def test_killed_at_ten_places_a_test_goes_on_each_time_and_ends_as_it_should(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(BENCH)
    chance = random.Random(20261125)
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):
        command = [
            "test", JOB, "--meter", ports["meter"], "--operator", "json",
            "--bench", str(tmp_path / "bench.toml"),
        ]  # fmt: skip
        fixture = Fixture(control, command, 3)
        for _ in range(KILLS):
            assert fixture.sitting(chance.randint(4, 16)) is None, "it came to its end before all kills"
        result = fixture.sitting(None)
    assert result is not None
    assert result["verdict"] == "accepted"
    # the first sitting begins as every test does, all others with volts at zero
    assert [ask["step"] for ask in fixture.first_asks] == ["start", *["resumed"] * KILLS]
    assert all("volts at zero" in ask["text"] for ask in fixture.first_asks[1:])
    doubled = {one for one in fixture.entered if fixture.entered.count(one) > 1}
    # a reply that was on its way when the program was killed never reached the record: it is due again
    assert len(fixture.entered) - len(set(fixture.entered)) <= KILLS, doubled
    assert fixture.live_at_kill > 0, "no kill while the unit was live"
    entries = json.loads(turnproof("record", JOB, "--json").stdout)["entries"]
    steps = [one["body"]["id"] for one in entries if one["kind"] == "step"]
    assert len(steps) == len(set(steps)), "a result was kept twice"
    answered = [tuple(map(str, one["body"]["place"])) for one in entries if "place" in one["body"]]
    assert len(answered) == len(set(answered)), "an answer that was kept was asked for again"
    assert "chain whole" in turnproof("record", "verify", JOB).stdout


def test_broken_off_while_live_the_fixture_is_asked_to_take_the_volts_off(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(BENCH)
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):
        test = Started(
            "test", JOB, "--meter", ports["meter"], "--operator", "json",
             "--bench", str(tmp_path / "bench.toml"),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        assert test.stdin is not None
        assert test.stdout is not None
        live = False
        while not live:
            ask = json.loads(test.stdout.readline())
            live = ask["ask"] == "excite" and ask["volts"] != "0 V"
            if not live:
                test.stdin.write(control.line(ask) + "\n")
                test.stdin.flush()
        test.send_signal(signal.SIGINT)
        last = json.loads(test.stdout.readline())
        test.stdin.write(control.line(last) + "\n")
        test.stdin.flush()
        _, error = test.communicate(timeout=20)
        truth = control.do("truth")
    assert (last["id"], last["ask"], last["volts"]) == ("end", "excite", "0 V")
    assert test.returncode == 130
    assert "volts to zero and unplug" in error
    assert truth
