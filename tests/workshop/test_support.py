"""Sizes of support block and cheeks: they follow from core, former and winding, and what can't be is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.design.plan import plan_of
from bench.workshop.support import support_for
from tests.workshop.jobs import OPENER, RECEIVER


def test_the_block_fills_the_former_less_its_clearance_and_is_as_long() -> None:
    # EI 96: tongue 32 mm, window 48 mm high; a stack of 45 mm.
    support = support_for(RECEIVER, clearance=0.3e-3, spindle=10e-3)
    assert support.width == pytest.approx(31.7e-3)
    assert support.depth == pytest.approx(44.7e-3)
    assert support.length == pytest.approx(48e-3)
    assert support.hole == pytest.approx(10.3e-3)


def test_the_cheeks_stand_over_the_winding_on_all_sides_by_what_was_asked_and_half_a_millimetre_at_most() -> None:
    support = support_for(OPENER, overhang=2e-3)
    for whole, leg in ((support.cheek_width, OPENER.shape.tongue), (support.cheek_depth, OPENER.stack)):
        overhang = (whole - leg) / 2 - OPENER.outer
        assert 2e-3 - 1e-9 <= overhang <= 2.26e-3
        assert whole * 2e3 == pytest.approx(round(whole * 2e3))


def test_the_slots_let_out_a_lead_of_the_innermost_layer() -> None:
    support = support_for(RECEIVER)
    assert support.slot_bottom == pytest.approx(RECEIVER.stack / 2 + RECEIVER.items[0].inner)
    assert support.slot_bottom + support.slot_depth == pytest.approx(support.cheek_depth / 2)


def test_a_former_that_was_measured_goes_before_the_core() -> None:
    support = support_for(RECEIVER, inside=(32.6e-3, 45.9e-3))
    assert (support.width, support.depth) == (pytest.approx(32.4e-3), pytest.approx(45.7e-3))
    assert support.remarks == ()
    assert "measure yours" in support_for(RECEIVER).remarks[0]


def test_where_the_window_leaves_no_room_for_flanges_as_high_as_the_cheeks_it_is_said() -> None:
    # The receiver's winding leaves 3.16 mm of a window 16 mm wide.
    assert not any("no room" in words for words in support_for(RECEIVER, overhang=3e-3).remarks)
    remarks = support_for(RECEIVER, overhang=5e-3).remarks
    assert any("leaves 3.157 mm over the winding: no room for flanges 5 mm over it" in words for words in remarks)


def test_a_winding_that_the_window_does_not_hold_gets_no_block() -> None:
    job = RECEIVER.job
    ht = job.get_winding("ht").model_copy(update={"turns": 6000, "layers": ()})
    high = plan_of(job.model_copy(update={"winding": (job.winding[0], ht, *job.winding[2:])}))
    assert high.room_left < 0
    with pytest.raises(ValueError, match=r"builds up .* mm and the window is 16 mm wide: no room"):
        support_for(high)


@pytest.mark.parametrize(
    ("sizes", "told"),
    [
        ({"spindle": 30e-3}, r"leaves less than 3 mm beside it; a spindle of at most 25.6 mm would do"),
        ({"spindle": 1e-3}, r"spindle of 1 mm, expected 2 mm to 50 mm"),
        ({"clearance": -0.1e-3}, r"clearance of -0.1 mm, expected 0 mm to 2 mm"),
        ({"clearance": 5e-3}, r"clearance of 5 mm"),
        ({"overhang": 0.2}, r"overhang of the cheeks of 200 mm"),
        ({"cheek": 0.0}, r"thickness of the cheeks of 0 mm"),
        ({"slot": 33e-3}, r"slot of 33 mm, expected 1 mm to 32 mm"),
        ({"slot": math.nan}, r"slot of nan mm"),
        ({"inside": (31.9e-3, 46e-3)}, r"inside along the tongue is 31.9 mm, expected 32 mm or a little more"),
        ({"inside": (32.2e-3, 60e-3)}, r"inside along the stack is 60 mm, expected 45 mm or a little more"),
    ],
)
def test_what_can_not_be_is_told_with_the_limit(sizes: dict[str, float], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        support_for(RECEIVER, **sizes)  # type: ignore[arg-type]


def test_the_widest_spindle_that_is_named_does_fit() -> None:
    assert support_for(RECEIVER, spindle=25.6e-3).hole == pytest.approx(25.8e-3)


@given(st.floats(2e-3, 25e-3), st.floats(0, 0.5e-3), st.floats(0, 10e-3))
def test_nothing_of_it_is_ever_turned_inside_out(spindle: float, clearance: float, overhang: float) -> None:
    support = support_for(RECEIVER, spindle=spindle, clearance=clearance, overhang=overhang)
    assert support.hole < support.width <= RECEIVER.shape.tongue
    assert support.hole / 2 < support.depth / 2 < support.slot_bottom < support.cheek_depth / 2
    assert support.block_volume > 0
    assert support.cheek_volume > 0
