"""The diagnosis of a job that is no design: as a person types it, with what it says that it can't tell."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.running import turnproof, written

HEAD = """schema = 1
[identity]
number = "TP-0300"
[supply]
voltage = "120 V"
frequency = "60 Hz"
[[winding]]
name = "primary"
role = "primary"
resistance = "33.2 ohm"
"""
# physicsforums.com, showthread 2451198: as found; tests/published/test_opened_joint.py has the whole case.
AS_FOUND = """[as_found]
fed = "primary"
frequency = "60 Hz"
[[as_found.winding]]
name = "primary"
role = "primary"
[[as_found.exciting]]
voltage = "120 V"
current = "78.7 mA"
power = "1.65 W"
"""
OPENED = ("--reading", "amps=180 mA@120 V", "--reading", "watts=2.54 W@120 V")


@pytest.fixture
def job(tmp_path: Path) -> str:
    return written(tmp_path / "unit.toml", HEAD + AS_FOUND)


def test_a_joint_that_was_opened_is_named_from_two_readings_and_those_as_found(job: str) -> None:
    done = turnproof("diagnose", job, *OPENED, "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["findings"][0]["fault"] == "core_gap"
    assert told["findings"][0]["probability"] > 0.5
    assert told["good"] < 0.01
    assert told["design"] is False


def test_it_says_what_it_compared_with_and_what_stays_open(job: str) -> None:
    said = turnproof("diagnose", job, *OPENED).stdout
    assert "without a design: compared with the readings as found and the nameplate only" in said
    assert "exciting current at 120 V: 180.0 mA, as found 78.70 mA" in said
    # 2.54 - 33.2 x 0.180^2, and 1.65 - 33.2 x 0.0787^2.
    assert "33.20 ohm of primary take: 1.464 W, as found 1.444 W" in said
    assert "length of the gap not told: turns of primary and size of the core not known" in said
    assert "the job needs: a winding with role = 'secondary', winding.primary.turns" in said


def test_alone_and_the_bench_file_are_taken(job: str, tmp_path: Path) -> None:
    bench = written(tmp_path / "bench.toml", 'schema = 1\n[[meter]]\nname = "yellow"\nuse = "hand"\n')
    done = turnproof("diagnose", job, *OPENED, "--alone", "--bench", bench, "--meter", "yellow", "--json")
    assert json.loads(done.stdout)["findings"][0]["fault"] == "core_gap"


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        ("amps=180 mA", "the volts on primary are missing"),
        ("amps=180 mV@120 V", "is a voltage, expected a current"),
        ("amps=0 mA@120 V", "expected more than 0"),
        ("ohms:ht=3 ohm", "no winding 'ht', expected one of primary"),
        ("volts:primary=3 V@120 V", "primary is the winding that is fed"),
        ("stack=42 mm", "without a design no height of the stack is known"),
        ("nonsense", "expected ohms:WINDING=OHMS (or OL)"),
        ("amps=300 mA@230 V", "the exciting curve as found was read at 120 V only"),
        ("ohms:primary=", "expected ohms:WINDING"),
    ],
)
def test_a_reading_that_is_none_is_one_line(job: str, reading: str, words: str) -> None:
    done = turnproof("diagnose", job, "--reading", reading)
    assert done.returncode == 3
    assert len(done.stderr.splitlines()) == 1
    assert words in done.stderr


def test_no_reading_is_one_line(job: str) -> None:
    done = turnproof("diagnose", job)
    assert (done.returncode, len(done.stderr.splitlines())) == (3, 1)
    assert "no reading given, expected --reading" in done.stderr


def test_nothing_to_compare_with_says_what_is_needed_in_one_line(tmp_path: Path) -> None:
    bare = written(tmp_path / "bare.toml", HEAD)
    done = turnproof("diagnose", bare, *OPENED)
    assert (done.returncode, len(done.stderr.splitlines())) == (3, 1)
    assert "no exciting curve as found is known" in done.stderr
    assert "expected as_found.exciting, as_found.volts" in done.stderr
