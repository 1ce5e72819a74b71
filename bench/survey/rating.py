"""What a unit can really carry, against its label: by its core, by its copper and by its heat."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.job.as_found import AsFound, FoundWinding
from bench.job.core import Core
from bench.job.winding import Role
from bench.magnetics.thermal import estimate_rise, outer_surface
from bench.survey.interval import Interval

__all__ = ["PowerEstimate", "by_copper", "by_core_area", "by_heat"]

_ROOM = 298.15


@dataclass(frozen=True)
class PowerEstimate:
    """VA that the unit carries by one way of looking;  `reason`: which, with its numbers."""

    power: Interval
    reason: str


def by_core_area(core: Core, frequency: float, rules: dict[str, Any]) -> PowerEstimate | None:
    """VA = (A / 1.267)^2 with the net area A in cm2 at 50 Hz, in proportion to the frequency (rules: `rating`)."""
    area = core.net_area
    if area is None:
        return None
    factor = float(rules["area_cm2_per_root_VA_50Hz"])
    power = (area * 1e4 / factor) ** 2 * frequency / 50.0
    u = power * 2 * float(rules["u_log_area_rule"])
    return PowerEstimate(Interval(power, u), f"{area * 1e4:.1f} cm2 of core at {frequency:g} Hz")


def by_copper(found: AsFound, volts: dict[str, float], rules: dict[str, Any]) -> PowerEstimate | None:
    """Volts times what the wire carries at the usual density, secondaries added up, and no more than the primary's.

    volts [V]: of the plate or as read, by winding.
    """
    density, u_log = float(rules["density_A_mm2"]) * 1e6, float(rules["u_log_density"])
    primary = found.primary
    each = {one.name: _carries(one, volts, density) for one in found.winding if not one.search_coil}
    secondaries = [each[one.name] for one in found.winding if one.role is Role.SECONDARY]
    if not secondaries or any(power is None for power in secondaries):
        return None
    power = sum(one for one in secondaries if one is not None)
    feed = None if primary is None else each[primary.name]
    what = "wire of the secondaries"
    if feed is not None and feed < power:
        power, what = feed, "wire of the primary"
    return PowerEstimate(Interval(power, power * u_log), f"{what} at {density / 1e6:g} A/mm2")


def by_heat(
    core: Core, core_loss: float, copper_loss_at_label: float, label: float, rise: float
) -> PowerEstimate | None:
    """VA at which the estimated rise [K] is the one allowed, from losses [W] at the label's VA; None where the core's
    own loss is too much already or its size is not known."""
    shape, stack = core.shape, core.stack
    if shape is None or stack is None or copper_loss_at_label <= 0:
        return None
    surface = outer_surface(shape.tongue, stack, shape.window_width, shape.window_height)

    def rises(load: float) -> float:
        return estimate_rise(surface, core_loss, copper_loss_at_label * load**2, _ROOM).rise

    try:
        if rises(0.02) >= rise:
            return None
        low, high = 0.02, 0.04
        while rises(high) < rise and high < 50:
            low, high = high, high * 1.5
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if rises(middle) < rise else (low, middle)
    except ValueError:
        return None
    at = estimate_rise(surface, core_loss, copper_loss_at_label * low**2, _ROOM)
    # The copper's share goes with the square of the load: half of the doubt in the rise, over that share.
    share = copper_loss_at_label * low**2 / (core_loss + copper_loss_at_label * low**2)
    u_log = at.u / at.rise / (2 * max(share, 0.2))
    return PowerEstimate(
        Interval(low * label, low * label * u_log), f"{rise:g} K rise, with {core_loss:.1f} W of core loss"
    )


def _carries(one: FoundWinding, volts: dict[str, float], density: float) -> float | None:
    known = volts.get(one.name)
    if one.wire is None or known is None:
        return None
    return known * density * math.pi / 4 * one.wire.diameter**2 * one.strands
