"""Sentences about a finished winding: the figures that the answers have, and words that fit them."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.design.plan import PlannedWinding, plan_of
from bench.design.trial_ratio import SEARCH_COIL, trials
from bench.estimate import Estimate
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.job.wire import parse_wire
from bench.whole_test import rules_named
from bench.winding.check_values import Cause, Conclusion, Counted, Explanation, Says
from bench.winding.check_words import (
    count_words,
    explanation_words,
    ohms_lines,
    says_words,
    strands_lines,
    volts_lines,
)
from bench.winding.ratio_check import TrialVolts, check_ratio
from bench.winding.resistance_check import Leads, OhmsRead, ResistanceAnswer, check_resistance
from bench.winding.strands_check import check_strands

ASSEMBLY = rules_named()["assembly"]
PLAN = plan_of(read_job(example_job("coastal-receiver")))
TRIALS = {trial.after: trial for trial in trials(PLAN, rules_named())}
COUNTS = {one.name: Counted.exactly(one.winding.turns or 0) for one in PLAN.windings}


def _ohms(
    name: str,
    ohms: float,
    u: float,
    count: Counted | None = None,
    leads: Leads = Leads.TAKEN_OFF,
    layers: tuple[float, ...] = (),
) -> ResistanceAnswer:
    read = OhmsRead(Estimate(ohms, {"meter": u}), leads, 294.15, 1.0)
    return check_resistance(PLAN.winding(name), read, count or COUNTS[name], ASSEMBLY, layers=layers)


def _volts(after: str, fed: float, read: dict[str, float], series: float | None = None) -> tuple[str, ...]:
    volts = TrialVolts(
        Estimate(fed),
        {name: Estimate(value) for name, value in read.items()},
        None if series is None else Estimate(series),
    )
    return volts_lines(check_ratio(PLAN, TRIALS[after], volts, COUNTS))


# The sentence itself.


def test_the_first_line_says_ohms_turns_count_and_conclusion() -> None:
    answer = _ohms("primary", 15.9, 0.05)
    low, high = f"{answer.says.low:.0f}", f"{answer.says.high:.0f}"
    assert ohms_lines(answer) == (
        f"primary: 15.9 ohm at 21 °C says {low} to {high} turns; the count says 662: they agree. A miscount of "
        f"{math.ceil(answer.sees)} turns or more would show.",
    )


def test_beside_another_winding_of_the_reel_both_intervals_are_said() -> None:
    job = PLAN.job
    wire = {"wire": parse_wire("0.40 mm"), "turns": 300, "layers": ()}
    plan = plan_of(
        job.model_copy(
            update={
                "winding": tuple(one.model_copy(update=wire) if one.name == "rectifier" else one for one in job.winding)
            }
        )
    )

    def check(planned: PlannedWinding, ohms: float, turns: int, *earlier: ResistanceAnswer) -> ResistanceAnswer:
        known = [one.reference for one in earlier if one.reference is not None]
        read = OhmsRead(Estimate(ohms), Leads.TAKEN_OFF, 294.15, 1.0)
        return check_resistance(planned, read, Counted.exactly(turns), ASSEMBLY, batch="R7", earlier=known)

    first = check(plan.winding("primary"), 16.2, 662)
    second = check(plan.winding("rectifier"), 9.3, 300, first)
    lines = ohms_lines(second)
    assert lines[0].startswith("rectifier: 9.300 ohm at 21 °C says ")
    assert lines[0].endswith(" turns by itself; the count says 300.")
    assert lines[1].startswith("Against primary, on the same wire, it says ")
    assert second.sharper is not None
    assert f"{second.sharper.low:.0f} to {second.sharper.high:.0f} turns" in lines[1]


def test_a_disagreement_names_what_fits_best_first_and_asks_to_read_again() -> None:
    lines = ohms_lines(_ohms("heater", 0.118, 0.001))
    assert "they disagree." in lines[0]
    assert lines[1] == "For that count 58.8 mohm would be due at that temperature."
    assert lines[2].startswith("That would be, what fits best first: 1 strand in hand open or not joined; ")
    assert lines[-1] == "Read once more with the clips put on anew before anything is unwound."


def test_a_layer_missing_or_shorted_is_told_how_to_be_told_apart() -> None:
    lines = ohms_lines(_ohms("ht", 190.0, 0.5))
    assert "1 layer counted that is not there; 1 layer shorted" in lines[2]
    assert lines[3].startswith("A few volts on some laminations tell a layer that is missing from one that is shorted")


def test_what_nothing_can_be_told_of_says_what_would_help() -> None:
    lines = ohms_lines(_ohms("heater", 0.4, 0.1, leads=Leads.STILL_IN))
    assert lines[0].endswith("no more than the doubt of meter and leads: too wide to tell anything of the count.")
    assert lines[1] == "Read it by four wires, or hold both clips on one wire first and take that off."
    broken = ohms_lines(_ohms("ht", 213.0, 0.5, Counted(1554, -math.inf, math.inf)))
    assert "the count is broken: nothing to compare." in broken[0]
    assert broken[1].startswith("The most of that is mean turn 5 % and diameter of the wire 3.8 %.")


def test_a_short_from_end_to_end_is_called_one() -> None:
    # Due: the plan's 213.18 ohm at 20 degC x 255.5/254.5 (21 degC) x 58/58.5 (copper) x 1.005 (stretch) = 213.2.
    assert PLAN.winding("ht").resistance == pytest.approx(213.18, abs=0.01)
    assert ohms_lines(_ohms("ht", 0.0, 0.1)) == (
        "ht: 0.0 ohm at 21 °C, no more than the doubt of meter and leads, where 213.2 ohm would be due: they disagree. "
        "Start and finish touch, or the clips do.",
    )


def test_a_layer_log_that_does_not_add_up_is_said() -> None:
    lines = ohms_lines(_ohms("primary", 15.9, 0.05, layers=(88.0,) * 7 + (40.0,)))
    assert "The layers as written down add up to 656 turns, the count is 662: look which of them is wrong." in lines
    assert not any("add up" in line for line in ohms_lines(_ohms("primary", 15.9, 0.05, layers=(88.0,) * 7 + (46.0,))))


def test_volts_in_words() -> None:
    # 10 V x 17 / 662 = 0.2568 V, less the 1.4 % that the fed winding loses.
    drop = 1 - TRIALS["heater"].readings[0].per_volt * 662 / 19
    assert drop == pytest.approx(0.014, abs=0.001)
    assert _volts("heater", 10.0, {"heater": 10.0 * 17 / 662 * (1 - drop)}) == (
        "heater: 0.2533 V to 10.00 V on primary says 16.8 to 17.2 turns; the count says 19: they disagree.",
        "That would be 2 turns fewer than counted.",
        "Read once more with the clips put on anew, volts to zero in between, before anything is unwound.",
    )
    agree = _volts("primary", 20.0, {SEARCH_COIL: 0.2989})
    assert agree[0].startswith("primary: 20.00 V to 0.2989 V on search coil says ")
    assert "they agree." in agree[0]


def test_polarity_in_words() -> None:
    assert _volts("ht", 5.0, {"ht": 11.58}, 16.5)[-1] == (
        "In series 16.50 V, where aiding gives 16.58 V and bucking 6.580 V: aiding, as it should be."
    )
    reversed_ = _volts("ht", 5.0, {"ht": 11.58}, 6.5)
    assert "bucking, and it should be aiding: start and finish of ht are exchanged" in reversed_[1]
    assert "nothing need be unwound" in reversed_[1]


def test_strands_in_words() -> None:
    heater = PLAN.winding("heater")

    def lines(second: float, u: float = 0.0002) -> tuple[str, ...]:
        strands = [Estimate(0.117, {"a": u}), Estimate(second, {"b": u})]
        return strands_lines(check_strands(heater, strands, COUNTS["heater"], batches=("R7", "R7")))

    assert lines(0.1171)[0].startswith("heater: strand 2 has 0.09 % more ohms than strand 1, within 0.9")
    assert lines(0.1171)[0].endswith("%: they agree.")
    differ = lines(0.117 * 20 / 19)
    assert differ[0].endswith("they differ.")
    assert "it may have about 1 turn more, be thinner" in differ[1]
    assert "Do not join them before the volts between their free ends are next to none" in differ[1]
    assert "too wide to tell" in lines(0.117, u=0.02)[0]


# Digits, singular and plural.


@pytest.mark.parametrize(
    ("says", "words"),
    [
        (Says(998.5, 988.2, 1008.9), "988 to 1009 turns"),
        (Says(19.0, 17.94, 20.06), "17.9 to 20.1 turns"),
        (Says(15.0, 14.93, 15.07), "14.93 to 15.07 turns"),
        (Says(1.0, 0.0, 2.2), "0.0 to 2.2 turns"),
        (Says(10.0, 0.0, math.inf), "no turns: the count that it goes by is broken"),
    ],
)
def test_turns_have_as_many_places_as_they_are_worth(says: Says, words: str) -> None:
    assert says_words(says) == words


@pytest.mark.parametrize(
    ("counted", "words"),
    [
        (Counted.exactly(997), "the count says 997"),
        (Counted.exactly(83.5), "the count says 83.5"),
        (Counted(1000, 998, 1001.25), "the count says 998 to 1001.25"),
        (Counted(5, -math.inf, math.inf), "the count is broken"),
    ],
)
def test_counts_are_written_as_they_are(counted: Counted, words: str) -> None:
    assert count_words(counted) == words


@pytest.mark.parametrize(
    ("cause", "sizes", "what", "words"),
    [
        (Cause.TURNS, (-2, -2, -2), "", "2 turns fewer than counted"),
        (Cause.TURNS, (1, 1, 1), "", "1 turn more than counted"),
        (Cause.TURNS, (-29.3, -41.2, -17.4), "", "17 to 41 turns fewer than counted"),
        (Cause.TURNS, (3.0, -3.0, 9.0), "", "from 3 turns fewer to 9 more than counted"),
        (Cause.LAYER_MISSING, (1, 1, 1), "", "1 layer counted that is not there"),
        (Cause.LAYER_MISSING, (2, 2, 2), "", "2 layers counted that are not there"),
        (Cause.LAYER_DOUBLE, (2, 2, 2), "", "2 layers more than counted"),
        (Cause.LAYER_SHORTED, (1, 1, 1), "", "1 layer shorted"),
        (Cause.STRAND_OPEN, (2, 2, 2), "", "2 strands in hand open or not joined"),
        (Cause.WIRE_SIZE, (-1, -1, -1), "27 AWG", "wire 1 size thinner than the job says, 27 AWG"),
        (Cause.WIRE_SIZE, (2, 2, 2), "0.2 mm", "wire 2 sizes thicker than the job says, 0.2 mm"),
        (Cause.STRETCHED, (0.08, 0.02, 0.14), "", "wire drawn out by 2 to 14 %"),
        (Cause.WARMER, (-28.0, -42.0, -14.0), "", "copper 14 to 42 K colder than was told"),
        (Cause.IN_SERIES, (0.02, 0.015, 0.025), "", "15 to 25 mohm in series: a poor joint, or leads"),
        (Cause.IN_SERIES, (3.0, 1.5, 4.5), "", "1.5 to 4.5 ohm in series: a poor joint, or leads"),
        (Cause.FED_TURNS, (-12.0, -20.2, -4.1), "primary", "primary has 4 to 20 turns fewer than its count"),
        (
            Cause.HALF_TURN,
            (0.5, 0.5, 0.5),
            "",
            "half a turn more: start and finish leave on opposite sides of the core",
        ),
        (Cause.LEADS_ON_TAP, (777, 777, 777), "start to centre", "the clips were on start to centre, 777 turns"),
        (Cause.TAP_PLACE, (-8.0, -9.1, -6.9), "centre", "tap centre lies 6.9 to 9.1 turns too early"),
    ],
)
def test_each_cause_has_its_words(cause: Cause, sizes: tuple[float, float, float], what: str, words: str) -> None:
    assert explanation_words(Explanation(cause, *sizes, 1.0, what)) == words


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([one.name for one in PLAN.windings]),
    st.floats(0.02, 20.0),
    st.floats(0.0005, 0.2),
    st.integers(-5, 5),
)
def test_whatever_is_read_the_words_are_sound(name: str, factor: float, u: float, out: int) -> None:
    planned = PLAN.winding(name)
    turns = planned.winding.turns or 0
    ohms = planned.resistance * factor
    answer = _ohms(name, ohms, u * ohms, Counted.exactly(turns + out))
    lines = ohms_lines(answer)
    text = " ".join(lines)
    assert not re.search(r"\b(nan|inf|None|e[+-]\d|-\d)", text)
    assert not re.search(r"(?<![\d.])1 (turns|layers|sizes|strands)\b", text)
    assert ("they disagree." in text) == (answer.conclusion is Conclusion.DISAGREES)
    assert ("they agree." in text) == (answer.conclusion is Conclusion.AGREES)
    assert all(line.rstrip().endswith(".") for line in lines)
