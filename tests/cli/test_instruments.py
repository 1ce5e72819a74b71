"""Commands against instruments on real ports: the rehearsal's."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
from pathlib import Path

import pytest

from tests.cli.running import JOB, lines, rehearsal, turnproof
from tests.cli.typist import Typist
from tests.warm_start import Started

PROFILES = Path(__file__).parents[2] / "profiles"
BENCH = 'schema = 1\n[resistor]\nresistance = "1 kohm"\n'


def test_a_reading_with_its_doubt_in_words_and_as_json() -> None:
    with rehearsal("--speed", "50") as (ports, control):
        control.do("connect", quantity="resistance", **{"from": "primary.start", "to": "primary.finish"})
        words = turnproof("read", ports["meter"], "resistance")
        data = lines(turnproof("read", ports["meter"], "resistance", "--samples", "2", "--json").stdout)
        control.do("connect", quantity="resistance", **{"from": "primary.start", "to": "heater.start"})
        apart = turnproof("read", ports["meter"], "resistance")
    assert words.returncode == 0, words.stderr
    assert "ohm  ±" in words.stdout
    assert len(data) == 2
    assert data[0]["value"] == pytest.approx(16.3, rel=0.15)
    assert {component["source"].rpartition(":")[2] for component in data[0]["components"]} >= {"gain", "offset"}
    assert apart.returncode == 2
    assert "overload" in apart.stdout


def test_a_busy_port_names_its_holder_and_a_silent_one_what_was_tried() -> None:
    with rehearsal("--speed", "50") as (ports, _):
        holder = Started("count", ports["counter"], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        assert holder.stderr is not None
        holder.stderr.readline()  # "open": it holds the port
        busy = turnproof("count", ports["counter"], "--seconds", "1")
        wrong = turnproof("read", ports["counter"].replace("hall@", "scpi@"), "voltage_ac")
        holder.send_signal(signal.SIGINT)
        holder.communicate(timeout=10)
        assert holder.returncode == 130
    assert busy.returncode == wrong.returncode == 4
    assert re.search(r"held by python\S* \(process \d+\)", busy.stderr)


def test_a_counter_shows_its_turns() -> None:
    with rehearsal("--speed", "3") as (ports, control):
        control.do("spindle", to=3.0, rpm=300.0)
        done = turnproof("count", ports["counter"], "--seconds", "3", "--json")
    counts = [event for event in lines(done.stdout) if event["event"] == "Count"]
    assert done.returncode == 0, done.stderr
    assert counts[-1]["turns"] == 3.0
    assert counts[-1]["low"] == counts[-1]["high"]


def test_a_winding_ends_exactly_although_its_port_was_lost_on_the_way() -> None:
    with rehearsal("--speed", "3") as (ports, control):
        winding = Started(
            "wind", JOB, "heater", "--counter", ports["counter"], "--rest", "0.5", "--json",
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert winding.stdout is not None
        first = json.loads(winding.stdout.readline())
        control.do("spindle", to=19.0, rpm=240.0)
        control.do("unplug", port="counter", seconds=1.5)
        out, error = winding.communicate(timeout=40)
        truth = control.do("truth")
    assert winding.returncode == 0, error
    told = lines(out)
    assert first["turns"] == 0.0
    assert {"LinkWentAway", "LinkCameBack", "Bridged"} <= {event.get("event") for event in told}
    assert told[-1]["result"] == {"winding": "heater", "turns": 19.0, "met": True}
    assert truth["spindle_turns"] == pytest.approx(19.0, abs=0.5)


def test_a_killed_winding_goes_on_where_the_board_stands() -> None:
    with rehearsal("--speed", "3") as (ports, control):
        command = ["wind", JOB, "heater", "--counter", ports["counter"], "--rest", "0.5", "--json"]
        killed = Started(*command, stdout=subprocess.PIPE, text=True)
        assert killed.stdout is not None
        killed.stdout.readline()  # it has heard the board; now the spindle may turn
        control.do("spindle", to=10.0, rpm=240.0)
        while json.loads(killed.stdout.readline()).get("turns", 0.0) < 4.0:
            pass
        killed.send_signal(signal.SIGKILL)
        killed.communicate()
        control.do("spindle", wait=True)
        again = Started(*command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        control.do("spindle", to=19.0, rpm=240.0)
        out, error = again.communicate(timeout=40)
        truth = control.do("truth")
    assert again.returncode == 0, error
    assert "going on from" in error
    assert lines(out)[-1]["result"]["turns"] == 19.0
    assert truth["spindle_turns"] == pytest.approx(19.0, abs=0.5)


def test_a_whole_test_by_the_hand_of_the_rehearsal_with_certificate_and_record(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(BENCH)
    with rehearsal("--speed", "100", "--seed", "4") as (ports, _control):
        _control.close()
        done = turnproof(
            "test", JOB, "--meter", ports["meter"], "--operator", f"rehearsal@{ports['control']}",
            "--bench", str(tmp_path / "bench.toml"), "--certificate", str(tmp_path / "page.html"), "--json",
            timeout=120,
        )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told = lines(done.stdout)
    assert told[-1]["result"]["verdict"] == "accepted"
    assert sum("reading" in line for line in told) > 40
    assert "accepted" in (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "chain whole" in turnproof("record", "verify", JOB).stdout


def test_a_whole_test_with_the_typed_readings_of_a_hand_held_meter(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(BENCH)
    with rehearsal("--speed", "100", "--seed", "4") as (ports, _control):
        _control.close()
        done = turnproof(
            "test", JOB, "--meter", "hand", "--operator", f"rehearsal@{ports['control']}",
            "--bench", str(tmp_path / "bench.toml"), "--json", timeout=120,
        )  # fmt: skip
    result = lines(done.stdout)[-1]["result"]
    judged = {step["id"]: step["verdict"] for step in result["steps"]}
    assert done.returncode == 2, done.stderr
    assert result["verdict"] == "undecided"
    assert "rejected" not in judged.values()
    # What such a meter can carry is carried; the turns of the high-voltage winding it can't tell to half a percent.
    assert judged["turns:heater"] == judged["exciting:100"] == judged["core_watts"] == "accepted"
    assert judged["turns:ht"] == "undecided"


def test_a_whole_test_typed_at_the_terminal_by_somebody_who_reads_only_what_it_says(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(BENCH)
    with rehearsal("--speed", "100", "--seed", "4") as (_, control):
        test = Started(
            "test", JOB, "--meter", "hand", "--bench", str(tmp_path / "bench.toml"),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        said = Typist(control).take(test)
    assert test.wait(10) == 2
    assert "Verdict of the unit: UNDECIDED" in said
    assert "REJECTED" not in said
    table = said[said.rindex("verdict\n") :]
    assert re.search(r"open-circuit volts of heater .* ok", table)
    assert re.search(r"turns of ht at nominal .* undecided", table)


def test_a_fixture_on_json_lines_that_enters_no_insulation_ends_incomplete(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(BENCH)
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):
        test = Started(
            "test", JOB, "--meter", ports["meter"], "--operator", "json",
             "--bench", str(tmp_path / "bench.toml"),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        result = _relay(test, control)
    assert test.wait(10) == 2
    assert result["verdict"] == "incomplete"
    assert {"insulation:primary", "insulation:ht"} <= {one["id"] for one in result["not_done"] if one["required"]}


def _relay(test, control):  # type: ignore[no-untyped-def]
    """Passes asks on to the rehearsal's hand, except insulation."""
    while True:
        ask = json.loads(test.stdout.readline())
        if "result" in ask:
            return ask["result"]
        if ask.get("quantity") == "insulation_resistance":
            reply = json.dumps({"id": ask["id"], "skip": "no tester"})
        else:
            reply = control.line(ask)
        test.stdin.write(reply + "\n")
        test.stdin.flush()


def test_a_person_who_stops_in_the_middle_keeps_what_was_read() -> None:
    typed = "\n21\n45 mm\n" + "\n\n\n" + "0.2\n16.5\n" + "q\nsupper\n"
    done = turnproof("test", JOB, "--meter", "hand", typed=typed)
    assert done.returncode == 2, done.stderr
    assert "Verdict of the unit: INCOMPLETE" in done.stdout
    assert "stopped: supper" in done.stdout
    assert "resistance of primary at 20 °C" in done.stdout
    shown = turnproof("record", JOB)
    assert "resistance:primary" in shown.stdout


def test_control_c_ends_with_130_and_says_what_to_do_first() -> None:
    test = Started(
        "test", JOB, "--meter", "hand", stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert test.stdout is not None
    while "unplugged" not in test.stdout.readline():
        pass
    test.send_signal(signal.SIGINT)
    _, error = test.communicate(timeout=20)
    assert test.returncode == 130
    assert list(filter(None, error.splitlines())) == [
        "volts to zero and unplug before you touch the unit; what was read is kept", "interrupted",
    ]  # fmt: skip


def test_a_counter_goes_on_from_typed_layers_and_typing_goes_on_from_a_counter() -> None:
    typed = turnproof("wind", JOB, "heater", "--counter", "hand", typed="12\n")
    with rehearsal("--speed", "3") as (ports, control):
        counting = Started(
            "wind", JOB, "heater", "--counter", ports["counter"], "--json",
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert counting.stdout is not None
        first = json.loads(counting.stdout.readline())
        control.do("spindle", to=3.0, rpm=240.0)
        while json.loads(counting.stdout.readline()).get("turns", 0.0) < 15.0:
            pass
        counting.send_signal(signal.SIGINT)
        counting.communicate(timeout=20)
    again = turnproof("wind", JOB, "heater", "--counter", "hand", typed="4\n")
    assert "12 of 19 turns so far" in typed.stderr
    assert first["turns"] == 12.0
    assert "going on from 15 turns as counted" in again.stderr
    assert again.returncode == 0, again.stderr


def test_a_winding_that_was_never_finished_is_told_before_the_test() -> None:
    turnproof("wind", JOB, "heater", "--counter", "hand", typed="12\n")
    done = turnproof("test", JOB, "--meter", "hand", typed="q\nlater\n")
    assert "heater: recorded at 12 of 19 turns and never finished" in done.stderr


def test_without_ammeter_and_with_a_wattmeter_the_whole_test_is_taken_all_the_same(tmp_path: Path) -> None:
    """The current across a known resistor, the watts typed; the meter is a profile of one's own without amps."""
    own = tmp_path / "volts-and-ohms.toml"
    tables = (PROFILES / "meters" / "scpi.toml").read_text(encoding="utf-8").split("\n[")
    own.write_text("\n[".join(one for one in tables if not one.startswith("functions.current_ac]")), encoding="utf-8")
    (tmp_path / "bench.toml").write_text(
        'schema = 1\n[resistor]\nresistance = "100 ohm"\npower = "5 W"\n[wattmeter]\naccuracy = "2 % + 2 counts"\n'
    )
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):
        control.close()
        done = turnproof(
            "test", JOB, "--meter", f"{own}@{ports['meter'].partition('@')[2]}",
            "--operator", f"rehearsal@{ports['control']}", "--bench", str(tmp_path / "bench.toml"), "--json",
            timeout=120,
        )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told = lines(done.stdout)
    steps = {step["id"]: step for step in told[-1]["result"]["steps"]}
    assert told[-1]["result"]["verdict"] == "accepted"
    assert "as volts across 100 ohm" in steps["exciting:100"]["note"]
    assert steps["core_watts"]["label"] == "core watts, by a wattmeter"
    assert {line["settling"]["step"] for line in told if "settling" in line} >= {"ratio:heater", "exciting:100"}


@pytest.mark.parametrize(
    ("meters", "told"),
    [
        (("volts=scpi@/dev/a", "volts=scpi@/dev/b"), "--meter 'volts=scpi@/dev/b': a second meter for volts"),
        (("volts=scpi@/dev/a", "hand"), "--meter: a meter read by hand goes with no other, expected it alone"),
        (("volts=scpi@/dev/a", "amps=scpi@/dev/a"), "--meter: scpi@/dev/a is named twice, expected a port each"),
        (("watts=scpi@/dev/a",), "--meter 'watts=scpi@/dev/a': 'watts' is no role, expected one of volts, amps, ohms"),
    ],
)
def test_meters_by_role_that_make_no_sense_are_told_in_a_line(meters: tuple[str, ...], told: str) -> None:
    done = turnproof("test", JOB, *(part for meter in meters for part in ("--meter", meter)))
    assert done.returncode == 3
    assert told in done.stderr
