"""How a person finds out where the coil stands when the count can't tell: what to look at, and what it would show."""

from __future__ import annotations

import math

from bench.design.plan import PlannedWinding
from bench.magnetics.copper import at_temperature, wire_resistance
from bench.winding.progress import Progress

__all__ = ["ohms_at", "ways_to_find_out"]

_20C = 293.15


def ways_to_find_out(progress: Progress, planned: PlannedWinding | None, temperature: float = _20C) -> tuple[str, ...]:
    """Least work first; empty while the count is certain.  temperature [K] of the copper."""
    if progress.certain:
        return ()
    ways = []
    if not (math.isfinite(progress.low) and math.isfinite(progress.high)):
        ways.append(f"if the spindle stood still while nobody listened, it is {progress.turns:.1f}")
    if progress.layer is not None and progress.turns_of_layer:
        before = progress.turns - progress.turn_in_layer
        below = f"the layers before it hold {before:.0f}: add, and set" if before else "then set"
        ways.append(f"count the turns of layer {progress.layer} with a needle; {below}")
    if planned is not None:
        least = ohms_at(planned, max(0.0, progress.low), temperature)
        most = ohms_at(planned, progress.high, temperature) if math.isfinite(progress.high) else None
        each = ohms_at(planned, progress.turns + 1, temperature) - ohms_at(planned, progress.turns, temperature)
        if each > 0 and most is not None and math.isfinite(progress.low):
            ways.append(f"ohms so far: {least:.4g} for {progress.low:.0f} turns, {most:.4g} for {progress.high:.0f}")
        elif each > 0:
            ways.append(f"ohms so far, at {each:.3g} for each turn here")
    ways.append("a turn that you marked, or the width that the layer fills")
    return tuple(ways)


def ohms_at(planned: PlannedWinding, turns: float, temperature: float = _20C) -> float:
    """Ohms of the first `turns` turns [ohm], of all strands together, by each layer's own mean turn."""
    wire = planned.winding.wire
    if wire is None or turns <= 0:
        return 0.0
    own, length, left = planned.winding.mean_turn, 0.0, turns
    for layer in planned.layers:
        here = min(left, float(layer.turns))
        length += here * (own if own is not None else layer.mean_turn)
        left -= here
    if left > 0:
        last = planned.layers[-1]
        length += left * (own if own is not None else last.mean_turn)
    at_20 = wire_resistance(length, wire.diameter, planned.winding.strands)
    return at_temperature(at_20, _20C, temperature)
