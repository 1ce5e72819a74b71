"""Plan, solid and winding program describe one former: what the machine winds has its place between the cheeks."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings

from bench.design.plan import WindingPlan
from bench.workshop.solid import block_solid, cheek_solid
from bench.workshop.support import support_for
from bench.workshop.winding_program import winding_program
from tests.workshop.jobs import GENERIC, OPENER, RECEIVER, plans
from tests.workshop.virtual_winder import wind


def agree(plan: WindingPlan) -> None:
    support = support_for(plan)
    block, cheek = block_solid(support), cheek_solid(support)
    done = wind(winding_program(plan, GENERIC, date="").text, GENERIC)
    places = [at for wound in done.windings for laid in wound.layers for at in (laid.start, laid.end)]
    # The traverse's 0 is the left flange's inner face, and the left cheek's face lies a flange further left.
    left, right = -plan.former, block.vertices[:, 2].max() - plan.former
    assert right - left == pytest.approx(plan.shape.window_height)
    step = GENERIC.traverse_resolution
    assert min(places) >= left + plan.former + plan.margin - step
    assert max(places) <= right - plan.former - plan.margin + step
    # The core that comes in when the block goes out, and the block in its former.
    for axis, leg in ((0, plan.shape.tongue), (1, plan.stack)):
        size = block.vertices[:, axis].max() - block.vertices[:, axis].min()
        assert size == pytest.approx(leg - support.clearance)
        # What the machine laid builds up to the plan's height, and the cheeks stand over it.
        assert cheek.vertices[:, axis].max() - leg / 2 > plan.outer >= plan.windings[-1].outer
    assert [round(abs(wound.turns)) for wound in done.windings] == [one.winding.turns for one in plan.windings]


@pytest.mark.parametrize("plan", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])
def test_the_example_jobs_agree(plan: WindingPlan) -> None:
    agree(plan)


@given(plans())
@settings(max_examples=25, deadline=None)
def test_any_plan_that_fits_its_window_agrees(plan: WindingPlan) -> None:
    assume(plan.room_left >= 0)
    agree(plan)
