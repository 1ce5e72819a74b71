"""Air in the joints of the core: its price is the current that it takes."""

from __future__ import annotations

from bench.diagnosis.remedies.unit import Unit
from bench.diagnosis.remedies.words import UNPLUGGED, instead
from bench.quantities import show

__all__ = ["rungs"]


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    now, drawn = unit.as_it_is, unit.design
    if now.curve is None or drawn.curve is None:
        return ()
    volts = drawn.voltage
    amps, as_drawn = now.curve.current_at(volts), drawn.curve.current_at(volts)
    leave = f"leave it: an exciting current of {instead(amps, as_drawn, 'A')} at nominal, secondary volts as drawn"
    ohms = drawn.fed_span.resistance
    if ohms is not None:
        leave += f", {ohms * (amps**2 - as_drawn**2):.2g} W more lost in {drawn.fed} without load"
    back = f"{show(as_drawn, 'A', 3)} where nothing holds them apart"
    return (
        leave,
        f"{UNPLUGGED}tap the laminations home from all sides, wedge and clamp them: {back}",
        f"{UNPLUGGED}take the core out and restack it one by one, each lamination pushed home, burrs off: {back}",
    )
