"""Counts and readings typed by hand: what a tired person types, and what becomes of it."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from tests.cli.conftest import Ended
from tests.cli.running import JOB, lines

Run = Callable[..., Ended]
WIND = ("wind", JOB, "heater", "--counter", "hand")


@pytest.mark.parametrize("rubbish", ["1_0", "nan", "ten", "1e1", "--3", "5 mm", "0x5"])
def test_what_is_no_number_of_turns_is_asked_again(run: Run, rubbish: str) -> None:
    ended = run(*WIND, typed=f"{rubbish}\n19\n")
    assert ended.status == 0
    assert f"{rubbish!r} is no number of turns" in ended.error


def test_no_more_is_taken_back_than_is_on(run: Run) -> None:
    ended = run(*WIND, typed="5\n-6\n14\n")
    assert ended.status == 0
    assert "6 turns can't be taken back, expected at most the 5 that are on" in ended.error


def test_past_the_target_turns_are_taken_back_until_it_is_met(run: Run) -> None:
    ended = run(*WIND, typed="21\n-2\n")
    assert ended.status == 0
    assert "2 turns past the target of 19: take them back and type -2" in ended.error
    assert "winding done" in run("record", JOB).out


def test_all_that_is_past_the_target_may_be_taken_back_in_one_go(run: Run) -> None:
    ended = run(*WIND, typed="38\n10\n-29\n")
    assert ended.status == 0
    assert "29 turns past the target of 19: take them back and type -29" in ended.error
    assert "48 turns in 2 layers, 29 past the target" in ended.out


def test_one_turn_is_one_turn(run: Run) -> None:
    ended = run(*WIND, typed="1\n19\n-1\n")
    assert "1 turn in 1 layer, 18 to go" in ended.out
    assert "1 turn past the target of 19: take it back and type -1" in ended.error


def test_the_range_of_a_layer_is_said_as_it_is(run: Run) -> None:
    ended = run(*WIND, typed="5\n0\n39\n14\n")
    assert "0 turns in one layer of a winding of 19, expected more than 0, up to 38, or to -5 for turns taken back" in (
        ended.error
    )
    assert "39 turns in one layer" in ended.error


def test_a_winding_is_found_whatever_its_capitals_and_a_near_name_is_offered(run: Run) -> None:
    assert run("wind", JOB, "HEATER", "--counter", "hand", typed="19\n").status == 0
    assert "winding heater" in run("record", JOB).out
    wrong = run("wind", JOB, "Heeter", "--counter", "hand")
    assert wrong.status == 3
    assert "did you mean heater?" in wrong.error


def test_a_winding_left_past_its_target_is_kept_and_not_done(run: Run) -> None:
    assert run(*WIND, typed="21\n").status == 2
    assert "winding done" not in run("record", JOB).out
    again = run(*WIND, typed="-2\n")
    assert again.status == 0
    assert "going on from 21 turns in 1 layer\n" in again.error


def test_a_winding_that_was_done_is_wound_anew_or_gone_on_with_only_where_that_is_said(run: Run) -> None:
    run(*WIND, typed="19\n")
    entries = run("record", JOB).out
    unsaid = run(*WIND, typed="4\n")
    assert unsaid.status == 3
    assert "with 19 turns; say --again to wind a new one from 0, or --from 19 to go on with it" in unsaid.error
    assert run("record", JOB).out.count("winding") == entries.count("winding")
    assert run(*WIND, "--again", "--from", "3").status == 3
    again = run(*WIND, "--again", typed="4\n")
    assert again.status == 2
    assert "heater: was done on " in again.error
    assert "with 19 turns; a new one from 0" in again.error
    assert "4 of 19 turns so far, kept" in again.error


def test_by_hand_it_goes_on_from_the_turns_that_are_said_to_be_on(run: Run) -> None:
    on = run(*WIND, "--from", "15", typed="q\n")
    assert "15 of 19 turns so far, kept" in on.error
    assert run(*WIND, "--from", "16", typed="q\n").status == 3
    done = run(*WIND, typed="4\n")
    assert done.status == 0
    more = run(*WIND, "--from", "19", "--target", "21", typed="2\n")
    assert more.status == 0
    assert "21 turns in 1 layer" in more.out


def test_each_typed_layer_is_a_line_of_json(run: Run) -> None:
    ended = run(*WIND, "--json", typed="12\n7\n")
    assert [(line["layer"], line["turns"], line["to_go"]) for line in lines(ended.out)] == [
        (1, 12.0, 7.0),
        (2, 19.0, 0.0),
    ]


def test_a_bad_reading_is_asked_again_with_the_reason_and_out_of_the_way_of_the_data(run: Run) -> None:
    ended = run("read", "hand", "voltage_ac", "--json", typed="230 mm\n230,4\n")
    assert ended.status == 0
    assert json.loads(ended.out)["value"] == 230.4
    assert "'230 mm' is a length, expected a voltage" in ended.error


def test_an_overload_typed_is_no_number(run: Run) -> None:
    ended = run("read", "hand", "resistance", "--json", typed="OL\n")
    assert ended.status == 2
    assert (json.loads(ended.out)["value"], json.loads(ended.out)["state"]) == (None, "overload")


def test_a_quantity_that_no_meter_reads_is_bad_input(run: Run) -> None:
    ended = run("read", "scpi@/dev/ttyNOTHERE", "insulation_resistance")
    assert ended.status == 3
    assert ended.error.startswith("quantity 'insulation_resistance': expected one of voltage_ac")


@pytest.mark.parametrize("rubbish", ["nan", "inf", "1_0", "ten"])
def test_a_typed_count_is_a_number(run: Run, rubbish: str) -> None:
    ended = run("count", "hand", "--json", typed=f"{rubbish}\n")
    assert ended.status == 3
    assert ended.out == ""
    assert f"turns: {rubbish!r} is no number of turns" in ended.error


def test_typed_counts_are_shown_until_the_input_ends(run: Run) -> None:
    ended = run("count", "hand", "--json", typed="84\n83,5\n")
    assert ended.status == 0
    assert [line["turns"] for line in lines(ended.out)] == [84.0, 83.5]


@pytest.mark.parametrize(
    "arguments",
    [
        (*WIND, "--from", "nan"),
        (*WIND, "--rest", "inf"),
        ("count", "hall@/dev/ttyNOTHERE", "--seconds", "nan"),
        ("rehearse", JOB, "--speed", "nan"),
        ("demo", "--speed", "nan"),
    ],
)
def test_an_option_takes_no_number_that_is_none(run: Run, arguments: tuple[str, ...]) -> None:
    ended = run(*arguments)
    assert ended.status == 3
    assert len(ended.error.splitlines()) == 1
    assert "is no number, expected such as 2.5" in ended.error


def test_what_somebody_sent_into_the_record_stays_one_line_there(run: Run) -> None:
    run("test", JOB, "--meter", "hand", typed="\n21\x1b[2J degC\nq\n4\n")
    shown = run("record", JOB).out
    assert "text 21 [2J degC" in shown
    assert "\x1b" not in shown


def test_a_reason_to_go_past_a_gate_is_shown_in_the_record(run: Run) -> None:
    run("test", JOB, "--meter", "hand", "--go-on-because", "owner's wish", typed="q\n4\n")
    assert "going past a gate because: owner's wish" in run("record", JOB).out


def test_a_usage_error_reads_as_one_sentence(run: Run) -> None:
    assert run("wind", JOB).error == "Missing argument 'WINDING'; see turnproof wind --help\n"


def test_a_winding_that_is_half_wound_is_not_begun_anew_without_a_word(run: Run) -> None:
    run(*WIND, typed="5\nq\n")
    refused = run(*WIND, "--again", typed="4\n")
    assert refused.status == 3
    assert "--again: heater was left at 5 turns and never finished, expected without --again" in refused.error
    assert "9 of 19 turns so far, kept" in run(*WIND, typed="4\nq\n").error
