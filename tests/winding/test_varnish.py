"""What is said of varnish and bake: heat, time, mass, and whether the unit was ready for it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from bench.job.model import Job
from bench.winding.stage import Answered, Remark, Weight, answered
from bench.winding.typed_answers import Heat, one_of, read_heat, words_of_a_person
from bench.winding.varnish import (
    OLD_UNITS,
    Varnish,
    against_beginning,
    bake_steps,
    heat_limit,
    judged,
    varnish_of,
)
from bench.winding.varnish_words import AFTERWARDS, QUESTIONS

HOUR = 3600.0
ZERO = 273.15
GOOD = Varnish(
    name="brown", method="dip", predry=Heat(ZERO + 80, 3 * HOUR), bakes=((1, Heat(ZERO + 90, 6 * HOUR)),),
)  # fmt: skip


def job(letter: str = "A") -> Job:
    return Job.model_validate({"schema": 1, "identity": {"number": "V-1"}, "targets": {"temperature_class": letter}})


def remarks_of(letter: str = "A", **changed: Any) -> dict[str, Remark]:
    return {one.name: one for one in judged(replace(GOOD, **changed), heat_limit(job(letter)), photographs=1)}


# -- heat as typed ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "celsius", "hours"),
    [
        ("90 C 6 h", 90, 6), ("105 °C, 4 h", 105, 4), ("6,5 h at 90 C", 90, 6.5), ("90C6h", 90, 6), ("90°C/6h", 90, 6),
        ("194 F 6 h", 90, 6), ("1 h 30 min at 90 degC", 90, 1.5), ("90 C for 6 hours", 90, 6),
        ("90 C 45 min", 90, 0.75),
    ],
)  # fmt: skip
def test_a_bake_is_read_as_people_write_it(typed: str, celsius: float, hours: float) -> None:
    heat = read_heat(typed)
    assert heat.temperature == pytest.approx(ZERO + celsius)
    assert heat.time == pytest.approx(hours * HOUR)
    again = read_heat(str(heat))
    assert again.temperature == pytest.approx(heat.temperature)
    assert again.time == pytest.approx(heat.time)


def test_a_temperature_or_a_time_alone_is_half_a_bake() -> None:
    assert read_heat("90 C") == Heat(ZERO + 90, None)
    assert read_heat("6 h") == Heat(None, 6 * HOUR)


@pytest.mark.parametrize(
    "typed", ["", "90", "90 6", "90 C 6", "-5 C 3 h", "90 C -6 h", "900 C 6 h", "90 V 6 h", "90 C 100 C", "90 C 0 h",
              "5 C 6 h", "90 C 999 h", "hot", "C h"],
)  # fmt: skip
def test_what_is_no_bake_is_refused_in_one_line(typed: str) -> None:
    with pytest.raises(ValueError, match="expected") as refused:
        read_heat(typed)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(("typed", "read"), [("d", "dip"), ("DIPPED", "dip"), ("vac", "vacuum"), (" brush ", "brush")])
def test_a_word_of_a_list_is_known_by_its_beginning(typed: str, read: str) -> None:
    method = next(one for one in QUESTIONS if one.key == "method")
    assert method.read(typed) == read


@pytest.mark.parametrize("typed", ["", "x", "b and d", "1"])
def test_a_word_that_is_not_in_the_list_is_told_what_is(typed: str) -> None:
    with pytest.raises(ValueError, match="expected in, left out or none"):
        one_of({"in": (), "left out": (), "none": ()})(typed)


def test_a_quantity_out_of_its_limits_is_refused_with_them() -> None:
    mass = next(one for one in QUESTIONS if one.key == "mass_before").read
    assert mass(" 1,25  kg ") == "1,25 kg"
    for absurd in ("-1250 g", "0 g", "1250 kg"):
        with pytest.raises(ValueError, match="expected from 1 g to 200 kg"):
            mass(absurd)
    with pytest.raises(ValueError, match="has no unit"):
        mass("1250")
    with pytest.raises(ValueError, match="is a length"):
        mass("45 mm")


def test_what_a_person_writes_is_one_printable_line() -> None:
    assert words_of_a_person(" Brown\t12 \x1b[2J ") == "Brown 12 [2J"
    for nothing in ("", "...", "x" * 201):
        with pytest.raises(ValueError, match="expected"):
            words_of_a_person(nothing)


# -- the rules -------------------------------------------------------------------------------------------


def test_a_good_bake_has_no_remark() -> None:
    assert remarks_of() == {}


@pytest.mark.parametrize(
    ("letter", "celsius", "name"),
    [
        ("A", 91, "too_hot_old"), ("", 95, "too_hot_old"), ("E", 121, "too_hot_class"), ("B", 131, "too_hot_class"),
        ("F", 156, "too_hot_class"), ("H", 181, "too_hot_class"),
    ],
)  # fmt: skip
def test_a_bake_hotter_than_the_insulation_is_for_is_a_warning(letter: str, celsius: float, name: str) -> None:
    # temperatures of IEC 60085's classes; 90 °C for class A and for what nobody knows
    bake = Heat(ZERO + celsius, HOUR)
    assert remarks_of(letter, bakes=((1, bake),))[name].weight is Weight.WARNING
    assert remarks_of(letter, bakes=((1, replace(bake, temperature=ZERO + celsius - 1 - 4 * (letter == ""))),)) == {}


def test_drying_too_hot_before_varnish_is_a_warning_too() -> None:
    assert "drying before varnish: 110 °C 3 h" in remarks_of(predry=Heat(ZERO + 110, 3 * HOUR))["too_hot_old"].words


def test_the_limit_of_an_old_unit_is_said_with_where_it_is_from() -> None:
    assert pytest.approx(ZERO + 90) == OLD_UNITS
    words = remarks_of("", bakes=((1, Heat(ZERO + 100, HOUR)),))["too_hot_old"]
    assert "no class" in words.words
    assert "manual" in words.consequence


def test_a_bake_without_time_or_temperature_is_a_warning_and_none_is_not_answered() -> None:
    assert remarks_of(bakes=((1, Heat(ZERO + 90, None)),))["no_bake_time"].weight is Weight.WARNING
    assert remarks_of(bakes=((1, Heat(None, HOUR)),))["no_bake_temperature"].weight is Weight.WARNING
    assert remarks_of(bakes=())["bake"].weight is Weight.MISSING
    assert {one.name for one in judged(Varnish(), heat_limit(job()), 1) if one.weight is Weight.MISSING} == {
        "bake", "varnish", "method"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("after", "name", "weight"),
    [(1.24, "lighter", Weight.WARNING), (12.9, "much_heavier", Weight.WARNING), (1.29, "taken_up", Weight.NOTE)],
)
def test_the_mass_after_is_held_against_the_mass_before(after: float, name: str, weight: Weight) -> None:
    remark = remarks_of(mass_before=1.25, mass_after=after)[name]
    assert remark.weight is weight
    assert "1.250 kg before" in remark.words
    assert remarks_of(mass_before=1.25) == {}


def test_a_reason_stays_in_sight() -> None:
    assert "because: the owner waits" in remarks_of(because="the owner waits")["begun_although"].words


def test_what_is_tested_again_names_all_that_varnish_can_change() -> None:
    told = " ".join(test for test, _ in AFTERWARDS)
    assert all(word in told for word in ("insulation", "resistance", "ratio", "exciting current", "core watts"))


# -- whether it may begin ----------------------------------------------------------------------------------

ACCEPTED = ("result", {"verdict": "accepted"})


@pytest.mark.parametrize("verdict", ["rejected", "undecided", "incomplete", "trouble"])
def test_a_test_that_did_not_accept_stands_against_it(verdict: str) -> None:
    assert verdict in against_beginning([ACCEPTED, ("result", {"verdict": verdict})])


@pytest.mark.parametrize(
    ("entries", "told"),
    [
        ([], "no acceptance test"),
        ([("winding done", {"winding": "ht"})], "no acceptance test"),
        ([ACCEPTED, ("winding done", {"winding": "ht"})], "winding ht was wound after"),
        ([ACCEPTED, ("restack", {"part": "anew"})], "stacked anew"),
    ],
)
def test_a_test_of_what_the_unit_is_no_more_stands_against_it(entries: list[Any], told: str) -> None:
    assert told in against_beginning(entries)


def test_what_an_incomplete_test_lacks_is_named() -> None:
    undone = [{"id": "core_watts", "required": True}, {"id": "stack_height", "required": False}]
    told = against_beginning([("result", {"verdict": "incomplete", "not_done": undone})])
    assert told == "the last acceptance test ended incomplete, not done: core_watts"


def test_a_unit_that_was_accepted_last_is_ready() -> None:
    entries = [("result", {"verdict": "rejected"}), ("winding done", {"winding": "ht"}), ACCEPTED]
    assert against_beginning([*entries, ("restack", {"part": "note", "value": "x"})]) == ""


# -- from the record ---------------------------------------------------------------------------------------


def test_steps_of_the_bake_come_in_their_order_and_one_withdrawn_is_gone() -> None:
    entries: list[tuple[int, dict[str, Any]]] = [
        (1, {"part": "begun although", "standing": "untested", "because": "the owner waits"}),
        (2, {"part": "bake 10", "value": "60 °C 1 h"}),
        (3, {"part": "bake 2", "value": "90 °C 6 h"}),
        (4, {"part": "bake 1", "value": "70 °C 1 h"}),
        (5, {"part": "bake 1", "withdrawn": "70 °C 1 h", "instead_of": 4}),
        (6, {"part": "bake x", "value": "70 °C 1 h"}),
    ]
    known = answered(entries)
    assert bake_steps(known) == (2, 10)
    one = varnish_of(known)
    assert [step for step, _ in one.bakes] == [2, 10]
    assert one.because == "the owner waits"
    assert varnish_of(Answered()) == Varnish()
