"""The support block that fills a former while it is wound, with the two cheeks that back its flanges: their sizes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.design.plan import WindingPlan

__all__ = ["Support", "support_for"]

_LEAST_WALL = 3e-3
"""Least material between the spindle hole and a face of the block [m] (common practice, no source)."""


@dataclass(frozen=True)
class Support:
    """Block and cheeks, all in [m]; x runs along the tongue's width, y along the stack, z along the leg.

    width, depth (x, y), length (z) of the block, which is as long as the former;  inside_width, inside_depth of the
    former, and clearance: by how much block (and hole) are smaller (larger) than what they fit, over both sides;
    spindle: its diameter, hole: that of the holes;  cheek_width, cheek_depth (x, y), cheek_thickness of each of the
    two cheeks, which are alike, in steps of 0.5 mm;  slot_width (x), slot_bottom: distance in y from the middle to the
    bottom of the cheek's two slots for leads;  former: thickness of its wall and flanges;  build: height of the
    winding's outermost face over the leg;  remarks: what the maker must be told.
    """

    width: float
    depth: float
    length: float
    inside_width: float
    inside_depth: float
    clearance: float
    spindle: float
    hole: float
    cheek_width: float
    cheek_depth: float
    cheek_thickness: float
    slot_width: float
    slot_bottom: float
    former: float
    build: float
    remarks: tuple[str, ...]

    @property
    def slot_depth(self) -> float:
        """How far a slot goes in from the cheek's edge [m]."""
        return self.cheek_depth / 2 - self.slot_bottom

    @property
    def block_volume(self) -> float:
        """Volume of the block [m3], its hole a true circle."""
        return (self.width * self.depth - math.pi / 4 * self.hole**2) * self.length

    @property
    def cheek_volume(self) -> float:
        """Volume of one cheek [m3], its hole a true circle."""
        slots = 2 * self.slot_width * self.slot_depth
        return (self.cheek_width * self.cheek_depth - slots - math.pi / 4 * self.hole**2) * self.cheek_thickness


def support_for(
    plan: WindingPlan,
    *,
    spindle: float = 8e-3,
    clearance: float = 0.2e-3,
    inside: tuple[float, float] | None = None,
    overhang: float = 3e-3,
    cheek: float = 5e-3,
    slot: float = 6e-3,
) -> Support:
    """Sizes of block and cheeks for a plan.

    spindle: its diameter [m], 2 mm to 50 mm;  clearance [m], 0 to 2 mm, of the block in the former and of the spindle
    in its hole, over both sides;  inside: the former's inside as measured, across the tongue's width and along the
    stack [m], where None the leg itself, tongue x stack, which is the least that it can be;  overhang: of the cheeks
    over the outermost face of the winding [m], 0 to 20 mm;  cheek: their thickness [m], 1 mm to 30 mm;  slot: width of
    the slots for leads [m], 1 mm up to the tongue.

    The slots stand over the faces of the stack, where the core leaves the winding free, and reach down to the
    former's wall, so that a lead of the innermost layer comes out too.  Raises ValueError: a size out of range; a
    former into which the core does not go; a hole that leaves less than 3 mm of block; a winding higher than the
    window is wide, since no cheek makes room for it.
    """
    for name, value, least, most in (
        ("spindle", spindle, 2e-3, 50e-3),
        ("clearance", clearance, 0.0, 2e-3),
        ("overhang of the cheeks", overhang, 0.0, 20e-3),
        ("thickness of the cheeks", cheek, 1e-3, 30e-3),
        ("slot", slot, 1e-3, plan.shape.tongue),
    ):
        if not least <= value <= most:
            raise ValueError(f"{name} of {_mm(value)}, expected {_mm(least)} to {_mm(most)}")
    tongue, stack = plan.shape.tongue, plan.stack
    inside_width, inside_depth = inside or (tongue, stack)
    for name, value, least in (("tongue", inside_width, tongue), ("stack", inside_depth, stack)):
        if not least <= value <= least + 2 * plan.former:
            raise ValueError(
                f"the former's inside along the {name} is {_mm(value)}, expected {_mm(least)} or a little more, up to "
                f"{_mm(least + 2 * plan.former)}"
            )
    width, depth = inside_width - clearance, inside_depth - clearance
    hole = spindle + clearance
    if min(width, depth) - hole < 2 * _LEAST_WALL:
        raise ValueError(
            f"a hole of {_mm(hole)} in a block of {_mm(width)} x {_mm(depth)} leaves less than {_mm(_LEAST_WALL)} "
            f"beside it; a spindle of at most {_mm(min(width, depth) - 2 * _LEAST_WALL - clearance)} would do"
        )
    window = plan.shape.window_width
    if plan.room_left < 0:
        raise ValueError(
            f"the winding builds up {_mm(plan.outer)} and the window is {_mm(window)} wide: no room for it, "
            "and no cheek makes any"
        )
    reach = plan.outer + overhang
    remarks = []
    if inside is None:
        remarks.append(
            f"block sized for a former of {_mm(tongue)} x {_mm(stack)} inside, as the core is: measure yours and "
            "say it with --inside, or shim the block with card"
        )
    if reach > window:
        remarks.append(
            f"the window leaves {_mm(plan.room_left)} over the winding: no room for flanges {_mm(overhang)} over it; "
            "the cheeks stand further out than any flange can, and come off before the core goes in"
        )
    return Support(
        width=width,
        depth=depth,
        length=plan.between_flanges + 2 * plan.former,
        inside_width=inside_width,
        inside_depth=inside_depth,
        clearance=clearance,
        spindle=spindle,
        hole=hole,
        cheek_width=_whole_steps(tongue + 2 * reach),
        cheek_depth=_whole_steps(stack + 2 * reach),
        cheek_thickness=cheek,
        slot_width=slot,
        slot_bottom=stack / 2 + plan.former,
        former=plan.former,
        build=plan.outer,
        remarks=tuple(remarks),
    )


def _whole_steps(length: float) -> float:
    """Up to the next half millimetre: what a person cuts or prints, and never less than was asked."""
    return math.ceil(length / 0.5e-3 - 1e-6) * 0.5e-3


def _mm(length: float) -> str:
    return f"{length * 1e3:.4g} mm"
