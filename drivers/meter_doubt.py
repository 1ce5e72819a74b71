"""Where the doubt in a meter's reading comes from: the range's accuracy, its scatter, the leads."""

from __future__ import annotations

import math

from drivers.meter_profile import MeterFunction, MeterRange
from drivers.reading import Component, Quantity

__all__ = ["reading_doubt"]


def reading_doubt(
    value: float,
    noise: float,
    function: MeterFunction,
    here: MeterRange,
    meter: str,
    tag: str,
    u_lead: float | None,
    frequency: float = 50.0,
) -> tuple[Component, ...]:
    """The components of one reading, SI.

    Gain and offset are shared by all readings of this meter, function and range; resolution and noise
    belong to the reading that `tag` names; the leads are shared by all two-wire resistances. u_lead: of
    the leads, ohm; None takes the profile's bound on their resistance as a rectangular limit. frequency: of
    alternating quantities, Hz. Raises Unsupported where the accuracy at that frequency is not stated.
    """
    components = here.accuracy_at(frequency).components(
        value,
        resolution=here.resolution,
        span=here.full_scale,
        shared=f"{meter}:{function.quantity}:{here.full_scale:g}",
        own=f"{meter}:{tag}",
    )
    components += (Component(f"{meter}:{tag}:noise", noise),)
    if function.quantity is Quantity.RESISTANCE:
        bound = function.lead_resistance / math.sqrt(3.0)
        components += (Component(f"{meter}:leads", bound if u_lead is None else u_lead, -1.0),)
    return components
