"""Winding programs, run by a reader and a machine of their own: what comes out is the plan."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings

from bench.design.plan import PlannedWinding, WindingPlan, plan_of
from bench.workshop.course import Place, Stop, Wind
from bench.workshop.rs274 import rs274_text
from bench.workshop.winder import Winder, load_winder
from bench.workshop.winding_program import winding_program
from tests.workshop.jobs import GENERIC, OPENER, RECEIVER, plans, winder, winders
from tests.workshop.rs274_reader import Moved, replay
from tests.workshop.virtual_winder import VirtualWinder, Wound, wind

PLANS = pytest.mark.parametrize("plan", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])
WINDERS = pytest.mark.parametrize("name", ["generic", "two-linear"])


def run(plan: WindingPlan, machine: Winder, only: str = "") -> VirtualWinder:
    return wind(winding_program(plan, machine, date="2026-11-25", only=only).text, machine)


def same(wound: Wound, planned: PlannedWinding, machine: Winder) -> None:
    """Turns, layers, places and stops, each within what the program's decimals tell."""
    place, turn = machine.traverse_resolution, machine.turn_resolution
    sense = planned.winding.polarity
    assert wound.turns == pytest.approx(sense * (planned.winding.turns or 0), abs=turn)
    assert len(wound.layers) == len(planned.layers)
    for laid, layer in zip(wound.layers, planned.layers, strict=True):
        assert laid.direction == layer.direction
        assert laid.turns == pytest.approx(sense * layer.turns, abs=2 * turn)
        assert laid.start == pytest.approx(layer.start, abs=place)
        assert laid.end == pytest.approx(layer.end, abs=place)
        assert abs(laid.end - laid.start) / abs(laid.turns) == pytest.approx(layer.pitch, rel=0.002, abs=2 * place)
    taps = [tap for layer in planned.layers for tap in layer.taps]
    stopped = [(turns, at) for message, turns, at in wound.stops if ", tap " in message]
    assert len(stopped) == len(taps)
    for (turns, at), tap in zip(stopped, taps, strict=True):
        assert turns == pytest.approx(sense * tap.turn, abs=turn)
        assert at == pytest.approx(tap.position, abs=place)


@PLANS
@WINDERS
def test_a_replayed_program_winds_the_plan(plan: WindingPlan, name: str) -> None:
    machine = load_winder(name)
    done = run(plan, machine)
    assert len(done.windings) == len(plan.windings)
    for wound, planned in zip(done.windings, plan.windings, strict=True):
        same(wound, planned, machine)


@given(plans(), winders())
@settings(max_examples=60, deadline=None)
def test_any_plan_comes_back_from_any_winder(plan: WindingPlan, machine: Winder) -> None:
    program = winding_program(plan, machine, date="2026-11-25")
    done = wind(program.text, machine)
    assert not done.moved_before_first_wait
    assert max(len(line) for line in program.text.splitlines()) <= machine.program.longest_line
    assert len(done.between) == program.stops
    assert done.minutes * 60 + done.dwelt == pytest.approx(program.seconds, rel=2e-3)
    # Feeds have five decimals: of the slowest move here, 1500 turns at 20 a minute, that is 4 parts in 10 000.
    assert done.fastest_traverse <= machine.traverse.most_mm_per_minute * 1e-3 * 1.001
    for wound, planned in zip(done.windings, plan.windings, strict=True):
        same(wound, planned, machine)
        for laid in wound.layers:
            assert laid.fastest <= machine.spindle.turns_per_minute * 1.002
            if machine.spindle.slow_turns:
                assert laid.last_speed <= machine.spindle.slow_turns_per_minute * 1.002


def test_a_tap_stops_the_machine_at_its_turn_and_says_what_to_do() -> None:
    (_, ht, *_) = run(RECEIVER, GENERIC).windings
    taps = [(message, turns) for message, turns, _ in ht.stops if "tap" in message]
    assert taps == [("ht: turn 777, tap centre, bring out 4 [red-yellow]", pytest.approx(777))]


def test_it_stops_for_all_that_the_hand_lays_and_in_its_order() -> None:
    stops = run(RECEIVER, GENERIC).between
    assert stops[0].startswith("zero: ")
    primary = next(n for n, words in enumerate(stops) if words.startswith("primary: wire 0.4 mm"))
    assert [words.partition(";")[0].partition(",")[0] for words in stops[primary + 1 : primary + 8]] == [
        f"primary: layer {number} of 8 full" for number in range(1, 8)
    ]
    finish, cover, screen, insulation, start = stops[primary + 8 : primary + 13]
    assert finish == "primary: 662 turns wound, fasten finish 2 [black-white], cut the wire"
    assert cover == "lay 0.5 mm of insulation over primary"
    assert screen.startswith("lay screen, copper foil 39.6 mm wide")
    assert "never touch" in screen
    assert insulation == "lay 0.5 mm of insulation over screen"
    assert start.startswith("ht: wire 0.18 mm")
    assert stops[-1] == "lay 0.5 mm of insulation over heater"


def test_where_nothing_is_laid_between_layers_it_rests_and_goes_on() -> None:
    bare = OPENER.job.insulation.model_copy(update={"between_layers": None})
    plan = plan_of(OPENER.job.model_copy(update={"insulation": bare}))
    done = run(plan, GENERIC)
    assert not any(" full" in words for words in done.between)
    turned_round = sum(len(one.layers) - 1 for one in plan.windings)
    assert done.dwelt == pytest.approx(0.5 * turned_round)


def test_strands_in_hand_are_wound_as_one() -> None:
    heater = run(RECEIVER, GENERIC).windings[3]
    assert "0.9 mm, 2 in hand" in heater.start_message
    assert heater.turns == pytest.approx(19)
    assert (heater.layers[0].end - heater.layers[0].start) / 19 > 2 * 0.9e-3


def test_lost_motion_is_taken_up_with_the_spindle_at_rest() -> None:
    machine = winder(traverse={"backlash_mm": 0.3})
    text = winding_program(RECEIVER, machine, date="", only="primary").text
    done = wind(text, machine)
    same(done.windings[0], RECEIVER.winding("primary"), machine)
    rapids = [one for one in replay(text).done if isinstance(one, Moved) and one.minutes is None]
    # Twice to the start, then once at each of the seven turnings, by 0.3 mm.
    assert len(rapids) == 2 + 7
    for one in rapids[2:]:
        assert abs(one.after["X"] - one.before["X"]) == pytest.approx(0.3)


def test_a_machine_whose_play_was_not_told_lays_it_wrong() -> None:
    """The machine of these tests does lose motion: without the take-up the plan does not come back."""
    text = winding_program(RECEIVER, GENERIC, date="", only="primary").text
    loose = winder(traverse={"backlash_mm": 0.3})
    second = wind(text, loose).windings[0].layers[1]
    assert abs(second.end - RECEIVER.winding("primary").layers[1].end) == pytest.approx(0.3e-3)


def test_the_spindle_turns_back_for_the_other_sense() -> None:
    job = RECEIVER.job
    turned = tuple(
        one.model_copy(update={"sense": type(one.sense)("counter-clockwise")}) if one.name == "ht" else one
        for one in job.winding
    )
    done = run(plan_of(job.model_copy(update={"winding": turned})), GENERIC)
    assert [round(one.turns) for one in done.windings] == [662, -1554, 15, 19]


def test_one_winding_alone_begins_at_zero() -> None:
    done = run(RECEIVER, GENERIC, only="rectifier")
    assert [round(one.turns) for one in done.windings] == [15]
    same(done.windings[0], RECEIVER.winding("rectifier"), GENERIC)
    assert done.between[-1] == "lay 0.5 mm of insulation over rectifier"


def test_a_winding_that_is_not_there_is_told() -> None:
    with pytest.raises(ValueError, match="no winding 'hearter', expected one of primary, ht, rectifier, heater"):
        winding_program(RECEIVER, GENERIC, date="", only="hearter")


def test_the_header_says_whose_it_is_and_warns() -> None:
    comments = " ".join(replay(winding_program(RECEIVER, GENERIC, date="2026-11-25").text).comments)
    flat = re.sub(r" - ", " ", comments)
    for words in (
        *("job TP-0107", "Winding ht: 1554 turns of 0.18 mm, 9 layers", "2026-11-25", "untested on hardware"),
        *("Guard closed", "hair", "foot switch", "never starts by itself", "G93"),
    ):
        assert words in flat


def test_no_motion_before_the_first_stop_can_be_written() -> None:
    for course in ([Place(0.003, 1)], [Wind(3, 0.01, 1, 2.0)]):
        with pytest.raises(ValueError, match="never starts by itself"):
            rs274_text(course, GENERIC, [])


def test_words_of_a_job_file_end_no_comment_and_give_no_command() -> None:
    header = ["job (X) ; M3 % Größe 5 µΩ 漆\n G0 X100"]
    done = replay(rs274_text([Stop("lay (paper)\nM2")], GENERIC, header))
    assert done.comments == ["job [X] , M3 / Grosse 5 uohm ? G0 X100"]
    assert len(done.done) == 1


def test_a_feed_without_digits_is_refused() -> None:
    with pytest.raises(ValueError, match="has no digits"):
        rs274_text([Stop("go"), Wind(100_000, 0.01, 1, 1e-3)], GENERIC, [])


def test_what_the_interpreter_would_make_faster_is_refused() -> None:
    # 0.18 mm wire at 8 turns a minute: 1.7 mm a minute, 0.066 inch.
    slow = winder(spindle={"slow_turns_per_minute": 8.0}, traverse={"units": "inch"})
    with pytest.raises(ValueError, match=r"0\.066 inch a minute.*not go slower than 0\.1 inch.*in mm"):
        winding_program(RECEIVER, slow, date="", only="ht")
    winding_program(RECEIVER, winder(spindle={"slow_turns_per_minute": 8.0}), date="", only="ht")
