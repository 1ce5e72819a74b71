"""The command that says what is probably wrong, on typed readings and on a stored test."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest

from tests.cli.running import JOB, lines, rehearsal, turnproof


def _findings(*readings: str) -> dict:
    options = [part for one in readings for part in ("--reading", one)]
    done = turnproof("diagnose", JOB, *options, "--json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_current_up_and_watts_as_they_should_be_is_a_gap() -> None:
    found = _findings("amps=95 mA@230 V", "watts=4.6 W@230 V", "volts:heater=6.60 V@230.0 V")
    assert found["findings"][0]["fault"] == "core_gap"
    assert found["good"] < 0.05
    assert found["next"]["step"]


def test_current_and_watts_up_is_no_gap() -> None:
    found = _findings("amps=65 mA@230 V", "watts=11.5 W@230 V")
    assert found["findings"][0]["fault"] != "core_gap"
    assert "core_gap" not in [one["fault"] for one in found["findings"] if one["probability"] > 0.05]


def test_readings_as_designed_say_that_nothing_is_wrong() -> None:
    found = _findings("amps=46 mA@230 V", "watts=4.7 W@230 V", "volts:heater=6.60 V@230.0 V", "ohms:primary=15.9 ohm")
    assert found["good"] > 0.7


def test_on_a_terminal_it_says_what_speaks_for_it_and_what_to_measure_next() -> None:
    done = turnproof("diagnose", JOB, "--reading", "amps=95 mA@230 V", "--reading", "watts=4.6 W@230 V")
    assert done.returncode == 0
    assert "from 2 typed readings:" in done.stdout
    assert "speaks for it: exciting current at 230 V: 95.00 mA, design" in done.stdout
    assert (
        "\n  the current is up by 110 % at nominal while the watts are as designed: the flux crosses air\n"
        in done.stdout
    )
    ladder = done.stdout.partition("to mend it before varnish, the least work first:\n")[2].splitlines()
    assert [line[:12] for line in ladder[:3]] == ["    1  leave", "    2  unplu", "    3  unplu"]
    assert "measure next: " in done.stdout


def test_a_stored_test_is_diagnosed_and_a_typed_reading_stands_for_the_stored_one() -> None:
    with rehearsal("--speed", "100", "--fault", "turns_wrong:heater=2") as (ports, control):
        control.close()
        arguments = ("test", JOB, "--meter", ports["meter"], "--operator", f"rehearsal@{ports['control']}", "--json")
        assert turnproof(*arguments, timeout=120).returncode == 1
    stored = json.loads(turnproof("diagnose", JOB, "--json").stdout)
    assert (stored["findings"][0]["fault"], stored["findings"][0]["winding"]) == ("turns_wrong", "heater")
    typed = turnproof("diagnose", JOB, "--alone", "--reading", "volts:heater=6.60 V@230.0 V", "--json")
    assert json.loads(typed.stdout)["good"] > 0.6


def test_it_says_how_the_answer_is_given_back_with_all_that_was_typed_so_far() -> None:
    done = turnproof("diagnose", JOB, "--alone", "--reading", "volts:heater=6.95 V@230.0 V")
    given = f"turnproof diagnose {shlex.quote(str(JOB))} --alone --reading 'volts:heater=6.95 V@230.0 V'"
    assert f"  then: {given} --reading search:10='… V@… V'" in done.stdout.splitlines()


def test_a_search_coil_tells_whose_turns_are_wrong() -> None:
    heater, coil = "volts:heater=6.95 V@230.0 V", "search:10=3.653 V@230.0 V"
    found = _findings(heater, coil)
    assert (found["findings"][0]["fault"], found["findings"][0]["winding"]) == ("turns_wrong", "primary")
    assert found["findings"][0]["probability"] > 0.95
    assert found["next"] is None


def test_a_look_has_one_command_for_yes_and_one_for_no() -> None:
    done = turnproof("diagnose", JOB, "--alone", "--reading", "ohms:heater=0.048 ohm")
    then, other = done.stdout.splitlines()[-2:]
    assert then.startswith("  then: ")
    assert then.endswith(":heater=yes")
    assert other.startswith("    or: ")
    assert other.endswith(":heater=no")


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        ("amps=95 mA", "the volts on the primary are missing"),
        ("ampere=95 mA@230 V", "'ampere' is no reading"),
        ("volts:foo=6 V@230 V", "no winding 'foo', expected one of primary"),
        ("ohms:ht=95 mV", "is a voltage, expected a resistance"),
        ("ohms:ht=-3 ohm", "expected more than 0"),
        ("nonsense", "expected ohms:WINDING=OHMS"),
    ],
)
def test_a_reading_that_is_none_is_one_line(reading: str, words: str) -> None:
    done = turnproof("diagnose", JOB, "--reading", reading)
    assert done.returncode == 3
    assert len(done.stderr.splitlines()) == 1
    assert words in done.stderr


def test_without_a_test_and_without_readings_it_says_what_it_needs(tmp_path: Path) -> None:
    done = turnproof("diagnose", JOB)
    assert (done.returncode, done.stdout) == (3, "")
    assert "no test is kept and no reading given" in done.stderr
    assert lines(done.stdout) == []
