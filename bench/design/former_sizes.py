"""What the former is made to, so that the core goes in and the window takes it, and the block that fills it."""

from __future__ import annotations

from dataclasses import dataclass

from bench.design.plan import WindingPlan

__all__ = ["CLEARANCE", "FormerSizes", "former_sizes"]

CLEARANCE = 0.3e-3
"""What the former's inside is larger than tongue and stack, in either direction [m] (common practice, no source)."""

_SLIP = 0.2e-3
"""What the block is smaller than the former's inside, so that it comes out of a tight coil [m] (common practice)."""


@dataclass(frozen=True)
class FormerSizes:
    """All [m]; across: along the tongue's width, along: along the stack.

    inner: inside of the former, outer: outside of its tube;  flange: what the window leaves for a flange's outline;
    length: over its flanges;  block: what fills it while it is wound, as long as it is itself.
    """

    tongue: float
    stack: float
    clearance: float
    wall: float
    inner_across: float
    inner_along: float
    outer_across: float
    outer_along: float
    flange_across: float
    length: float
    block_across: float
    block_along: float


def former_sizes(plan: WindingPlan) -> FormerSizes:
    """From tongue, stack, window and the thickness of the former's wall; flanges are as thick as the wall.

    The walls of the plan stand on the leg itself: half the clearance comes on top of what the plan builds.
    """
    tongue, stack = plan.shape.tongue, plan.stack
    across, along = tongue + CLEARANCE, stack + CLEARANCE
    return FormerSizes(
        tongue=tongue,
        stack=stack,
        clearance=CLEARANCE,
        wall=plan.former,
        inner_across=across,
        inner_along=along,
        outer_across=across + 2 * plan.former,
        outer_along=along + 2 * plan.former,
        flange_across=tongue + 2 * plan.shape.window_width,
        length=plan.between_flanges + 2 * plan.former,
        block_across=across - _SLIP,
        block_along=along - _SLIP,
    )
