"""How a rung of a ladder tells its price: a value beside the one that was drawn."""

from __future__ import annotations

from collections.abc import Iterable

from bench.diagnosis.in_words.seen import listed
from bench.diagnosis.remedies.unit import Unit, loaded_volts, open_volts
from bench.job.model import Job
from bench.quantities import show

__all__ = ["UNPLUGGED", "instead", "listed", "on_load", "opened", "rated_current", "stripping", "turns"]

UNPLUGGED = "unplugged and discharged: "
"""Before every rung that takes hands to the unit."""
_CLOSE = 0.02


def instead(now: float, drawn: float, unit: str) -> str:
    """`5.90 V instead of 6.59 V (-10.5 %)`; one digit more where they lie within 2 %."""
    share = now / drawn - 1
    digits = 4 if abs(share) < _CLOSE else 3
    if unit == "W":
        return f"{now:.{digits}g} W instead of {drawn:.{digits}g} W ({share * 100:+.0f} %)"
    if unit == "T":
        return f"{show(now, unit)} instead of {show(drawn, unit)}"
    per_cent = f"{share * 100:+.2f} %" if abs(share) < 0.01 else f"{share * 100:+.1f} %"
    return f"{show(now, unit, digits)} instead of {show(drawn, unit, digits)} ({per_cent})"


def opened(unit: Unit, name: str) -> str:
    """Open-circuit volts of one span at nominal, as it is instead of as drawn."""
    return f"{name} {instead(open_volts(unit.as_it_is, name), open_volts(unit.design, name), 'V')}"


def on_load(unit: Unit, names: Iterable[str]) -> str:
    """`, at rated load heater 5.64 V instead of 6.29 V`; empty where the job does not say enough."""
    now, drawn = loaded_volts(unit.job, unit.as_it_is), loaded_volts(unit.job, unit.design)
    told = [f"{name} {instead(now[name], drawn[name], 'V')}" for name in names if name in now and name in drawn]
    return f"; at rated load {', '.join(told)}" if told else ""


def stripping(unit: Unit, winding: str) -> str:
    """What must come off before a winding is bare."""
    over = unit.lies_over(winding)
    return f"strip {listed(over)}, which {'lies' if len(over) == 1 else 'lie'} over it" if over else ""


def turns(count: float) -> str:
    """`1 turn`, `2 turns`."""
    whole = abs(round(count))
    return f"{whole} turn{'s' * (whole != 1)}"


def rated_current(job: Job, winding: str) -> float | None:
    """RMS current [A] that a winding is rated for."""
    return job.get_winding(winding).rated_current
