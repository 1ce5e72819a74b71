"""Ohms that disagree: with slips planted, the cause that is named."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.job.model import Job
from bench.winding.check_values import Cause, Conclusion, Counted
from bench.winding.resistance_check import check_resistance
from tests.winding.ohms_by_hand import (
    ASSEMBLY,
    LAYERED,
    PLANNED,
    RECEIVER,
    TOLERANCE,
    as_read,
    checked,
    ohms_by_hand,
    per_metre_of,
    planned_of,
    turns_of,
)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(LAYERED),
    st.sampled_from([-1, 1]),
    st.floats(-1, 1),
    st.floats(-1, 1),
)
def test_a_layer_that_was_miscounted_is_named(
    which: tuple[Job, str], side: int, wire_out: float, hand_out: float
) -> None:
    # Wire within its tolerance and a mean turn within one u, either way: what does disagree names the layer.
    job, name = which
    planned = PLANNED[job.identity.number, name]
    wire = planned.winding.wire
    assert wire is not None
    true = turns_of(planned)
    full = max(layer.turns for layer in planned.layers)
    wider = wire_out * TOLERANCE[wire.name] * 1e-3
    ohms = ohms_by_hand(planned, per_metre_of(planned, wider=wider)) * (1 + 0.015 * hand_out)
    # The count is out, the layers on the former are those of the plan.
    count = true - side * full
    layers = [float(layer.turns) for layer in planned.layers]
    layers = layers[1:] if side > 0 else [float(full), *layers]
    answer = check_resistance(planned, as_read(ohms), Counted.exactly(count), ASSEMBLY, layers=layers)
    if answer.conclusion is Conclusion.DISAGREES:
        causes = {one.cause for one in answer.causes}
        assert (Cause.LAYER_DOUBLE if side > 0 else Cause.LAYER_MISSING) in causes
        assert Cause.TURNS in causes
    else:
        # Then the interval was too wide, and what the answer says that it sees is more than the layer.
        assert answer.sees > full * 0.9


@pytest.mark.parametrize(
    ("name", "factor", "first"),
    [
        ("heater", 2.0, Cause.STRAND_OPEN),
        ("ht", (0.18 / 0.16) ** 2, Cause.WIRE_SIZE),
        ("ht", (0.18 / 0.20) ** 2, Cause.WIRE_SIZE),
        ("primary", 1 - 88 / 662, Cause.LAYER_MISSING),
        ("primary", 1 + 88 / 662, Cause.LAYER_DOUBLE),
    ],
)
def test_what_was_planted_comes_first(name: str, factor: float, first: Cause) -> None:
    planned = planned_of(RECEIVER, name)
    answer = checked(planned, ohms_by_hand(planned, per_metre_of(planned)) * factor)
    assert answer.conclusion is Conclusion.DISAGREES
    assert answer.causes[0].cause is first
    assert answer.causes[0].weight == 1.0


def test_a_poor_joint_and_drawn_wire_have_their_size() -> None:
    planned = planned_of(RECEIVER, "rectifier")
    good = ohms_by_hand(planned, per_metre_of(planned))
    answer = checked(planned, good + 0.02)
    joint = next(one for one in answer.causes if one.cause is Cause.IN_SERIES)
    assert joint.low < 0.02 < joint.high
    assert joint.size == pytest.approx(0.02, rel=1e-6)
    # Wire 8 % longer in turns of the same length has 8 % more ohms, not 16: 1 % to 2 % is for one piece of wire
    # (constant volume, any textbook).
    planned = planned_of(RECEIVER, "primary")
    drawn = checked(planned, ohms_by_hand(planned, per_metre_of(planned)) * 1.08)
    stretched = next(one for one in drawn.causes if one.cause is Cause.STRETCHED)
    assert stretched.size == pytest.approx(0.08, rel=1e-6)
    assert stretched.low < 0.06


def test_never_more_certain_than_the_interval() -> None:
    planned = planned_of(RECEIVER, "ht")
    answer = checked(planned, 190.0)
    turns = next(one for one in answer.causes if one.cause is Cause.TURNS)
    assert turns.low == pytest.approx(answer.says.low - 1554)
    assert turns.high == pytest.approx(answer.says.high - 1554)
