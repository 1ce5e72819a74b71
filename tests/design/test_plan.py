"""The plan of a winding: places, directions and pitches that a winder can follow."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.design.expected import expect
from bench.design.plan import WindingPlan, plan_of
from bench.design.worth_knowing import worth_knowing
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.whole_test import rules_named

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


@JOBS
def test_every_turn_of_the_job_is_in_a_layer_between_its_margins(job: Job) -> None:
    plan = plan_of(job)
    for planned in plan.windings:
        assert sum(layer.turns for layer in planned.layers) == planned.winding.turns
        for layer in planned.layers:
            for place in (layer.start, layer.end):
                assert plan.margin - 1e-9 <= place <= plan.margin + plan.length + 1e-9


@JOBS
def test_layers_run_to_and_fro_and_each_begins_where_the_one_before_ended(job: Job) -> None:
    for planned in plan_of(job).windings:
        for one, following in itertools.pairwise(planned.layers):
            assert following.direction == -one.direction
            assert following.start == pytest.approx(one.end)
            assert following.first_turn == one.first_turn + one.turns
            assert following.inner >= one.outer - 1e-12


@JOBS
def test_nothing_overlaps_from_the_leg_to_the_last_cover(job: Job) -> None:
    plan = plan_of(job)
    edges = [(one.inner, one.outer) for one in plan.items]
    assert edges == sorted(edges)
    for (_, outer), (inner, _) in itertools.pairwise(edges):
        assert inner >= outer
    assert edges[-1][1] < plan.outer
    assert plan.fill == pytest.approx(plan.outer / plan.shape.window_width)
    assert plan.room_left > 0


@JOBS
def test_its_ohms_are_those_that_the_test_expects(job: Job) -> None:
    spans = expect(job, rules_named()).spans
    for planned in plan_of(job).windings:
        assert planned.resistance == pytest.approx(spans[planned.name].resistance, rel=1e-6)


def test_a_tap_lies_in_the_layer_of_its_turn() -> None:
    ht = plan_of(RECEIVER).winding("ht")
    taps = [(layer.number, tap) for layer in ht.layers for tap in layer.taps]
    assert [(number, tap.name, tap.turn) for number, tap in taps] == [(5, "centre", 777)]
    layer = ht.layers[4]
    assert taps[0][1].in_layer == 777 - layer.first_turn == 17
    assert taps[0][1].position == pytest.approx(layer.start + layer.direction * 17 * layer.pitch)


def test_a_screen_lies_on_its_winding_with_insulation_on_both_sides() -> None:
    plan = plan_of(RECEIVER)
    screen = plan.screens[0]
    assert screen.inner == pytest.approx(plan.winding("primary").outer + plan.between_windings)
    assert plan.winding("ht").inner == pytest.approx(screen.outer + plan.between_windings)
    assert screen.length > 2 * (plan.shape.tongue + plan.stack)


def test_layers_fuller_than_wire_against_wire_are_refused_with_the_millimetres() -> None:
    windings = tuple(
        one.model_copy(update={"layers": (662,)}) if one.name == "primary" else one for one in RECEIVER.winding
    )
    with pytest.raises(ValueError, match=r"layer 1 of primary: 662 turns of 0\.439 mm need .* mm"):
        plan_of(RECEIVER.model_copy(update={"winding": windings}))


def test_what_is_missing_is_named() -> None:
    bare = Job.model_validate({"schema": 1, "identity": {"number": "X"}})
    with pytest.raises(ValueError, match=r"core\.lamination.*core\.stack.*a winding"):
        plan_of(bare)


@given(st.integers(50, 4000), st.sampled_from(["0.10 mm", "0.18 mm", "0.40 mm", "0.71 mm"]), st.integers(1, 3))
def test_any_winding_is_laid_whole_or_refused(turns: int, wire: str, strands: int) -> None:
    table = {
        "schema": 1,
        "identity": {"number": "X"},
        "core": {"lamination": "EI 96", "stack": "45 mm"},
        "winding": [{"name": "w", "role": "primary", "turns": turns, "wire": wire, "strands": strands}],
    }
    plan: WindingPlan = plan_of(Job.model_validate(table))
    assert sum(layer.turns for layer in plan.windings[0].layers) == turns
    assert plan.windings[0].ends_where_it_began == (len(plan.windings[0].layers) % 2 == 0)


def test_hints_carry_what_they_stand_on() -> None:
    hints = worth_knowing(plan_of(RECEIVER), rules_named())
    assert all(one.hint.basis for one in hints)
    inrush = next(one.hint for one in hints if one.hint.what.startswith("inrush"))
    # More than the rated current, less than what the winding's own ohms would let through at the peak.
    assert 0.35 < inrush.value < 1.414 * 253 / 15.8
