"""Readings as found as a tired person types them: slips, second thoughts, the wrong answer to a question."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Ended
from tests.cli.running import written

Run = Callable[..., Ended]

NAMED = "primary\n\n117 V\nht\n\n500 V\nheater\n\n6.3 V\n\ny\n"
DRY = "500 V\n85 Mohm\n120 Mohm\n200 Mohm\n"
OHMS = "21 degC\n3.42 ohm\n176.1 ohm\n0.049 ohm\n"


@pytest.fixture
def job(tmp_path: Path) -> str:
    return written(tmp_path / "job.toml", 'schema = 1\n[identity]\nnumber = "R-1"\n')


def bodies(run: Run, job: str, part: str = "") -> list[dict[str, Any]]:
    entries = json.loads(run("record", job, "--json").out)["entries"]
    kept = [one["body"] for one in entries if one["kind"] == "as found"]
    return [one for one in kept if not part or one["part"] == part]


def read(run: Run, job: str, typed: str) -> Ended:
    return run("survey", job, "--read", typed=typed)


# -- windings ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "role"),
    [("p", "primary"), ("", "primary"), ("PRIMARY", "primary"), ("s", "secondary"), ("secondary", "secondary")],
)
def test_a_role_is_one_of_two_words_or_their_letters(run: Run, job: str, typed: str, role: str) -> None:
    read(run, job, f"primary\n{typed}\n\n\nq\n")
    assert bodies(run, job)[-1]["role"] == role


@pytest.mark.parametrize("typed", ["?", "x", "pp", "prim", "no"])
def test_what_is_no_role_is_asked_again_with_what_is_expected(run: Run, job: str, typed: str) -> None:
    ended = read(run, job, f"primary\n{typed}\np\n\n\nq\n")
    assert f"'{typed}': expected p or primary or s or secondary" in ended.out
    assert [one["role"] for one in bodies(run, job)] == ["primary"]


def test_a_second_primary_is_asked_again(run: Run, job: str) -> None:
    ended = read(run, job, "primary\n\n\nprimary2\np\ns\n\n\ny\nq\n")
    assert "primary is the primary already" in ended.out
    assert [one["role"] for one in bodies(run, job)] == ["primary", "secondary"]


def test_windings_of_an_earlier_time_are_shown_and_typed_anew_where_they_are_wrong(run: Run, job: str) -> None:
    read(run, job, "hearter\ns\n63 V\n")  # the input ends at the next name, and nobody said that they are right
    again = read(run, job, "n\nprimary\n\n117 V\nheater\n\n6.3 V\n\ny\nq\n")
    assert "hearter: secondary, plate 63.00 V" in again.out
    assert "as kept? [Y/n]" in again.out
    document = json.loads(run("survey", job, "--json").out)
    assert [one["name"] for one in document["windings"]] == ["primary", "heater"]
    assert {"part": "winding", "taken_back": True} in bodies(run, job)
    third = read(run, job, "\n\n85 Mohm\nq\n")
    assert "winding 1, its name" not in third.out
    assert bodies(run, job, "insulation")[0]["winding"] == "primary"


def test_windings_of_the_job_file_are_not_asked_about(run: Run, tmp_path: Path) -> None:
    text = 'schema = 1\n[identity]\nnumber = "R-2"\n[[as_found.winding]]\nname = "primary"\n'
    assert "as kept?" not in read(run, written(tmp_path / "named.toml", text), "q\n").out


def test_names_that_differ_in_capitals_only_are_one(run: Run, job: str) -> None:
    assert "'HT' is named already" in read(run, job, "ht\n\n\nHT\n\n\nq\n").out


# -- the gate before feeding -------------------------------------------------------------------------


def test_a_reading_that_is_typed_too_early_opens_no_gate(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}500 V\n85 Mohm\n5 Mohm\n200 Mohm\n{OHMS}0.1 kV\n0.4 kV\n\n")
    assert "'0.1 kv': expected the word yes, or Enter for no" in ended.out
    assert "which winding is fed" not in ended.out


@pytest.mark.parametrize("reason", ["0.1 kV", "120 Mohm", "ok", "17", "..."])
def test_a_reading_or_a_mumble_is_no_reason(run: Run, job: str, reason: str) -> None:
    low = f"{NAMED}500 V\n85 Mohm\n5 Mohm\n200 Mohm\n{OHMS}"
    ended = read(run, job, f"{low}yes\n{reason}\n\n")
    assert f"'{reason}' is no reason, expected words" in ended.out
    assert "which winding is fed" not in ended.out
    assert "which winding is fed" in read(run, job, f"y\n\n\n\n\n\n\n\n\nyes\n{reason}\n12 V only\nq\n").out


# -- readings that can hardly be meant ---------------------------------------------------------------


def test_a_doubtful_insulation_is_kept_only_on_a_yes(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}500 V\n35 kohm\n\n35 Mohm\n35 kohm\ny\nq\n")
    assert "35.0 kohm is 286 times less than the 10.0 Mohm below which nothing is fed" in ended.out
    assert "perhaps 35.0 Mohm is meant. Is 35 kohm right? [y/N]" in ended.out
    assert [one["resistance"] for one in bodies(run, job, "insulation")] == ["35 Mohm", "35 kohm"]


def test_ohms_that_are_the_volts_of_the_plate_are_asked_about(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}{DRY}21 degC\n3.42 ohm\n176.1 ohm\n6.78 ohm\nn\n0.049 ohm\nq\n")
    assert "the plate says 6.3 V, perhaps it is its volts. Is 6.78 ohm right? [y/N]" in ended.out
    assert [one["resistance"] for one in bodies(run, job, "resistance")] == ["3.42 ohm", "176.1 ohm", "0.049 ohm"]


def test_doubtful_volts_are_asked_again_with_those_on_the_fed_winding(run: Run, job: str) -> None:
    fed = f"{NAMED}{DRY}{OHMS}ht\n50 Hz\n20 V\n4.66 V\n"
    ended = read(run, job, f"{fed}20 V\n1.152 kV\nn\n20 V\n0.252 V\nq\n")
    assert "1.152 kV is 4570 times the 252 mV that the plates say at 20.0 V on ht" in ended.out
    assert "Is 1.152 kV of heater at 20 V on ht right? [y/N]" in ended.out
    assert [one["voltage"] for one in bodies(run, job, "volts")] == ["4.66 V", "0.252 V"]


def test_the_two_directions_of_feeding_are_held_against_each_other(run: Run, job: str) -> None:
    read(run, job, f"{NAMED}{DRY}{OHMS}ht\n50 Hz\n20 V\n4.66 V\n\nq\n")
    ended = read(run, job, f"y\n{chr(10) * 8}primary\n50 Hz\n10 V\n8.5 V\ny\nq\n")
    assert "say the other way round" in ended.out
    assert [one["fed"] for one in bodies(run, job, "volts")] == ["ht", "primary"]


def test_volts_far_above_the_plate_of_the_fed_winding_are_asked_about(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}{DRY}{OHMS}heater\n50 Hz\n117 V\n\n6 V\n\nq\n")
    assert "117.0 V is 19 times the 6.30 V that the plate says of heater. Is 117 V right? [y/N]" in ended.out


def test_amps_and_watts_of_the_curve_are_asked_about(run: Run, job: str) -> None:
    curve = "20 V\n46 mA\n\n40 V\n64.5 A\nn\n64.5 mA\n2.78 kW\nn\n2.1 W\n\n"
    ended = read(run, job, f"{NAMED}{DRY}{OHMS}primary\n50 Hz\n\n\n{curve}")
    assert "perhaps 64.50 mA is meant" in ended.out
    assert "is more than volts times amps" in ended.out
    points = bodies(run, job, "exciting")
    assert [(one["current"], one.get("power")) for one in points] == [("46 mA", None), ("64.5 mA", "2.1 W")]


# -- second thoughts ---------------------------------------------------------------------------------


def test_what_is_kept_stands_in_the_prompt_and_enter_leaves_it(run: Run, job: str) -> None:
    read(run, job, f"{NAMED}{DRY}q\n")
    ended = read(run, job, "y\n\n\n\n\nq\n")
    assert "85 Mohm kept; Enter keeps it, - withdraws it" in ended.out
    assert len(bodies(run, job, "insulation")) == 3


@pytest.mark.parametrize("word", ["-", "wrong"])
def test_a_kept_reading_is_withdrawn_by_a_new_entry_and_nothing_is_deleted(run: Run, job: str, word: str) -> None:
    read(run, job, f"{NAMED}{DRY}{OHMS}q\n")
    ended = read(run, job, f"y\n\n\n\n\n\n{word}\n\n{word}\n180 ohm\nq\n")
    assert "3.42 ohm: withdrawn" in ended.out
    entries = bodies(run, job, "resistance")
    assert [one.get("resistance", one.get("withdrawn")) for one in entries] == [
        "3.42 ohm", "176.1 ohm", "0.049 ohm", "3.42 ohm", "176.1 ohm", "180 ohm"
    ]  # fmt: skip
    document = json.loads(run("survey", job, "--json").out)
    assert [one["resistance"] is None for one in document["windings"]] == [True, False, False]


def test_volts_and_points_of_the_curve_are_withdrawn_too(run: Run, job: str) -> None:
    curve = "20 V\n46 mA\n\n40 V\n64.5 mA\n\n"
    read(run, job, f"{NAMED}{DRY}{OHMS}primary\n50 Hz\n97.75 V\n449.9 V\n\n{curve}\n")
    ended = read(run, job, f"y\n{chr(10) * 8}primary\n50 Hz\n-\n\n\n-\n\n")
    assert "97.75 V and 449.9 V kept; Enter keeps it, - withdraws it" in ended.out
    assert "Kept already: 20 V 46 mA; 40 V 64.5 mA." in ended.out
    assert "- withdraws 40 V 64.5 mA" in ended.out
    assert [one["withdrawn"] for one in bodies(run, job) if "withdrawn" in one] == [
        "97.75 V and 449.9 V", "40 V 64.5 mA"
    ]  # fmt: skip
    assert "left out" not in run("survey", job).out


def test_where_nothing_is_kept_nothing_is_withdrawn(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}500 V\n-\n85 Mohm\nq\n")
    assert "nothing that was typed here is kept" in ended.out
    assert [one["resistance"] for one in bodies(run, job, "insulation")] == ["85 Mohm"]


def test_a_winding_that_turns_out_open_loses_its_ohms(run: Run, job: str) -> None:
    read(run, job, f"{NAMED}{DRY}{OHMS}q\n")
    read(run, job, "y\n\n\n\n\n\nOL\nq\n")
    assert bodies(run, job, "resistance")[-1] == {"part": "resistance", "winding": "primary", "withdrawn": "3.42 ohm"}


# -- numbers without a unit, and overloads -----------------------------------------------------------


def test_a_bare_number_is_taken_as_volts_and_hertz_where_those_are_asked_for_and_said(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}500\n85 Mohm\n120 Mohm\n200 Mohm\n{OHMS}primary\n50\n97,75\n449.9\nq\n")
    assert "taken as 500 V" in ended.out
    assert "taken as 97.75 V" in ended.out
    assert bodies(run, job, "volts")[0]["fed_voltage"] == "97.75 V"
    assert bodies(run, job, "volts")[0]["frequency"] == "50 Hz"


def test_a_bare_number_is_no_resistance_and_the_comma_is_explained(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}500 V\n85\n3,85\nq\n")
    assert "'85' has no unit, expected a resistance such as '12.5 ohm'\n" in ended.out
    assert "'3,85' has no unit, expected a resistance such as '12.5 ohm' (the comma is read as a decimal" in ended.out
    assert "taken as" not in ended.out


def test_over_the_tester_s_range_is_at_least_its_range_which_is_asked_once(run: Run, job: str) -> None:
    ended = read(run, job, f"{NAMED}500 V\nOL\n2000 Mohm\nOL\n200 Mohm\nq\n")
    assert ended.out.count("the tester's highest reading") == 1
    assert "taken as at least 2000 Mohm" in ended.out
    assert [one["resistance"] for one in bodies(run, job, "insulation")] == ["2000 Mohm", "2000 Mohm", "200 Mohm"]


def test_a_winding_that_is_fed_is_found_whatever_its_capitals(run: Run, job: str) -> None:
    read(run, job, f"{NAMED}{DRY}{OHMS}HT\n50 Hz\n20 V\n4.66 V\nq\n")
    assert bodies(run, job, "volts")[0]["fed"] == "ht"


def test_how_to_stop_is_said_before_the_first_question(run: Run, job: str) -> None:
    said = read(run, job, "q\n")
    assert said.out.index("q ends, at any question") < said.out.index("winding 1, its name")
    assert "stopped; what was read is kept" in said.error


def test_a_tester_of_few_volts_is_asked_about(run: Run, job: str) -> None:
    ended = read(run, job, NAMED + "9 V\nno\n500 V\n85 Mohm\n")
    assert "9.00 V shows little of insulation for mains: 250 V at least, and 500 V is usual" in ended.out + ended.error
    assert [one["test_voltage"] for one in bodies(run, job, "insulation")] == ["500 V"]
