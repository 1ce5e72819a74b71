"""Turns that are missing or too many: lived with, mended through the window, or by other windings."""

from __future__ import annotations

from bench.diagnosis.remedies.unit import Unit, open_volts
from bench.diagnosis.remedies.words import UNPLUGGED, instead, on_load, opened, stripping, turns
from bench.quantities import show

__all__ = ["rungs"]

_BY_HAND = 20
"""Turns that a hand still passes through the window of a stacked core (common practice, no source)."""
_TOLD = 3


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    added = round(unit.variant.turns_added.get(place, 0.0))
    if not added:
        return ()
    return _of_primary(unit, added) if place == unit.design.fed else _of_secondary(unit, place, added)


def _of_secondary(unit: Unit, place: str, added: int) -> tuple[str, ...]:
    span = unit.design.spans[place]
    outermost = not unit.lies_over(span.winding) and _ends_outside(unit, place)
    drawn = f"{show(open_volts(unit.design, place), 'V', 3)} again"
    found = [f"leave it: {opened(unit, place)} at nominal{on_load(unit, [span.winding])}"]
    if abs(added) <= _BY_HAND:
        if outermost:
            work = (
                f"thread the missing {turns(added)} through the window at its outer end, on in the same sense"
                if added < 0
                else f"take the {turns(added)} too many off its outer end, through the window"
            )
            found.append(f"{UNPLUGGED}{work}: {drawn}")
        elif span.whole:
            joined = "add to" if added < 0 else "oppose"
            found.append(
                f"{UNPLUGGED}{turns(added)} of the same wire over the finished coil, through the window, insulated as "
                f"{place} is and in series with its end so that they {joined} it, which a few volts on the primary "
                f"tell: {drawn}"
            )
    wound = f"wind {span.winding} anew with {abs(round(unit.design.spans[span.winding].turns))} turns: {drawn}"
    strip = stripping(unit, span.winding)
    found.append(f"{UNPLUGGED}take the core out, {f'{strip}, ' if strip else ''}{wound}")
    return tuple(found)


def _ends_outside(unit: Unit, place: str) -> bool:
    """Whether the span's own end is the outer one of its winding."""
    return unit.design.spans[place].finish == "finish"


def _of_primary(unit: Unit, added: int) -> tuple[str, ...]:
    fed, now, drawn = unit.design.fed, unit.as_it_is, unit.design
    share = added / abs(drawn.fed_span.turns)
    way = "low" if added > 0 else "high"
    nearest = list(unit.secondaries)[-_TOLD:][::-1]
    volts = ", ".join(opened(unit, name) for name in nearest)
    found = [
        f"leave it: all secondaries read {abs(1 / (1 + share) - 1) * 100:.2g} % {way}: {volts} at nominal{_flux(unit)}"
    ]
    strip = stripping(unit, fed)
    if not strip and abs(added) <= _BY_HAND:
        work = "take the turns too many off" if added > 0 else "thread the missing turns through the window at"
        found.append(f"{UNPLUGGED}{work} its outer end, {turns(added)}: all volts as drawn")
    others = _others(unit, share)
    if strip and others:
        stays = "" if now.flux_density is None else f", the flux stays at {show(now.flux_density, 'T')}"
        found.append(f"{UNPLUGGED}take the core out and change the secondaries instead: {others}{stays}")
    wound = f"wind {fed} anew with {abs(round(drawn.fed_span.turns))} turns: all volts and the flux as drawn"
    found.append(f"{UNPLUGGED}take the core out, {f'{strip}, ' if strip else ''}{wound}")
    return tuple(found)


def _others(unit: Unit, share: float) -> str:
    """Turns of the secondaries that bring their volts back; those stay of which it is less than half a turn."""
    changed, kept = [], []
    for name in unit.secondaries:
        drawn = abs(unit.design.spans[name].turns)
        change = round(drawn * share)
        if change:
            changed.append(f"{name} {round(drawn) + change} turns instead of {round(drawn)}")
        else:
            kept.append(name)
    return ", ".join(changed) + (f" ({', '.join(kept)} as wound, less than half a turn)" if changed and kept else "")


def _flux(unit: Unit) -> str:
    """What the primary's turns do to the core."""
    now, drawn = unit.as_it_is, unit.design
    if now.flux_density is None or drawn.flux_density is None:
        return ""
    way = "falls" if now.flux_density < drawn.flux_density else "rises"
    said = f"; the flux {way} to {show(now.flux_density, 'T')} from {show(drawn.flux_density, 'T')}"
    if now.curve is not None and drawn.curve is not None:
        amps = instead(now.curve.current_at(now.voltage), drawn.curve.current_at(drawn.voltage), "A")
        said += f", the exciting current is {amps}"
    return said
