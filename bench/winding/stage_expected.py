"""What the job lets expect as an answer about restack and varnish, in a line for each question."""

from __future__ import annotations

from bench.quantities import show
from bench.winding.restack_joints import joints_due
from bench.winding.restack_values import Due, Restack, laminations_due
from bench.winding.typed_answers import Laminations
from bench.winding.varnish import HeatLimit, Varnish
from bench.winding.varnish_words import bake_key

__all__ = ["expected_of_restack", "expected_of_varnish"]


def expected_of_restack(due: Due, one: Restack) -> dict[str, str]:
    """By question; one that nothing is known of has no line."""
    wanted = laminations_due(due)
    design = "" if wanted is None else f"the design's stack is about {wanted} of each"
    told = {
        "came_out": design if due.core_kept else "",
        "laminations_in": design,
        "interleave": joints_due(due),
        "gap": "a mains transformer wants none",
        "bolts": "every bolt in its tube, under insulating washers",
        "band": "round the outside, if it had one",
        "earth": f"joined: {' and '.join(['core', *due.screens])}",
        "stack": "" if due.stack is None else f"design {show(due.stack, 'm', 3)}, ± {due.tolerance * 100:.0f} % passes",
    }
    if due.core_kept and one.came_out is not None:
        told["laminations_in"] = f"as many as came out: {one.came_out}"
        if one.put_in is not None:
            told["left_over"] = _left_over(one.came_out, one.put_in, one.scrapped)
    return {key: words for key, words in told.items() if words}


def _left_over(came_out: Laminations, put_in: Laminations, scrapped: Laminations | None) -> str:
    gone = put_in + (scrapped or Laminations(0, 0))
    e, i = came_out.e - gone.e, came_out.i - gone.i
    if e < 0 or i < 0:
        return f"{came_out} came out, and {gone} are accounted for already"
    but_scrapped = "" if scrapped is not None else ", less what is scrapped"
    return f"{Laminations(e, i)} if none is lost{but_scrapped}"


def expected_of_varnish(limit: HeatLimit, one: Varnish) -> dict[str, str]:
    """By question, the next step of the bake too."""
    told = {
        "method": "vacuum reaches the inside of the coil, a brush does not (common practice, no source)",
        "predry": f"not above {limit.words}",
    }
    steps = [step for step, _ in one.bakes]
    for step in (*steps, max(steps, default=0) + 1):
        told[bake_key(step)] = f"not above {limit.words}; how long the core itself was so hot"
    if one.mass_before is not None:
        told["mass_after"] = f"a little more than {show(one.mass_before, 'kg')}"
    return told
