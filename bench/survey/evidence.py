"""What a survey rests on: counts, and readings with the sources of their doubt."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from bench.estimate import Estimate
from bench.job.as_found import AsFound, Doubt, FoundWinding
from bench.job.bench_file import AccuracyText, MeterAccuracy
from bench.magnetics.copper import at_temperature
from bench.quantities import Typed
from drivers.accuracy import Accuracy

__all__ = ["AmpsPair", "Counted", "Evidence", "VoltsPair", "count_of", "evidence_of"]

AccuracyOf = Callable[[str], MeterAccuracy]
"""What the bench file says of a meter, by its name."""

_TWENTY = 293.15
_U_TEMPERATURE = 3.0  # K: a winding that lay in the room for an hour (common practice, no source)


@dataclass(frozen=True)
class Counted:
    """Turns of a winding or section, counted to within a half width; `how` it was counted."""

    winding: str
    turns: float
    within: float
    how: str

    @property
    def u(self) -> float:
        """Standard uncertainty [turns], the half width taken as rectangular (JCGM 100:2008, 4.3.7)."""
        return self.within / math.sqrt(3.0)


@dataclass(frozen=True)
class VoltsPair:
    """Open-circuit volts of a winding, and those on the fed winding at the same moment."""

    fed: str
    fed_volts: Estimate
    winding: str
    volts: Estimate
    frequency: float | None = None


@dataclass(frozen=True)
class AmpsPair:
    """Currents of a shorted winding and of a coil of known turns on the same core."""

    winding: str
    amps: Estimate
    coil_turns: float
    coil_amps: Estimate


@dataclass(frozen=True)
class Evidence:
    """All of it; resistances [ohm] at 20 degC by winding."""

    counted: tuple[Counted, ...] = ()
    volts: tuple[VoltsPair, ...] = ()
    amps: tuple[AmpsPair, ...] = ()
    resistances: dict[str, Estimate] = field(default_factory=dict)

    def count(self, winding: str) -> Counted | None:
        return next((one for one in self.counted if one.winding == winding), None)


def evidence_of(
    found: AsFound, rules: dict[str, Any], accuracy_of: AccuracyOf, counted: tuple[Counted, ...] = ()
) -> Evidence:
    """From what was written down; `counted` while stripping takes the place of the file's own counts.

    rules: the table profiles/limits/survey.
    """
    by_name = {one.winding: one for one in counted}
    counts = [one for winding in found.winding for one in _counts(winding, by_name.get(winding.name), rules["count"])]
    return Evidence(
        counted=tuple({**{one.winding: one for one in counts}, **by_name}.values()),
        volts=tuple(
            VoltsPair(
                fed=one.fed,
                fed_volts=_told(one.fed_voltage, one.fed_components)
                or _typed(one.fed_voltage, accuracy_of(one.meter).voltage_ac, one.meter, "V", f"volts {n} fed"),
                winding=one.winding,
                volts=_told(one.voltage, one.components)
                or _typed(one.voltage, accuracy_of(one.meter).voltage_ac, one.meter, "V", f"volts {n}"),
                frequency=one.frequency or found.frequency,
            )
            for n, one in enumerate(found.volts, start=1)
        ),
        amps=tuple(
            AmpsPair(
                winding=one.winding,
                amps=_typed(one.current, accuracy_of(one.meter).current_ac, one.meter, "A", f"amps {n}"),
                coil_turns=one.coil_turns,
                coil_amps=_typed(one.coil_current, accuracy_of(one.meter).current_ac, one.meter, "A", f"amps {n} coil"),
            )
            for n, one in enumerate(found.current_ratio, start=1)
        ),
        resistances={
            one.winding: _at_twenty(
                _told(one.resistance, one.components)
                or _typed(one.resistance, accuracy_of(one.meter).resistance, one.meter, "ohm", f"ohms {n}"),
                one.temperature or found.temperature,
            )
            for n, one in enumerate(found.resistance, start=1)
        },
    )


def count_of(winding: str, turns: float, rules: dict[str, Any], within: float | None = None, how: str = "") -> Counted:
    """A count as it is taken where nobody says how good it is; rules: the `count` table of profiles/limits/survey.

    Nobody's count is beyond doubt: a half width below `least_within` is taken for that.
    """
    if within is None:
        within = float(rules["exact_within"] if turns <= rules["exact_up_to"] else rules["within"])
    return Counted(winding, turns, max(within, float(rules["least_within"])), how)


def _counts(winding: FoundWinding, stripped: Counted | None, rules: dict[str, Any]) -> list[Counted]:
    """Of the whole winding, and of its sections where it has taps: a tap's turn is counted from the start.

    What was counted while stripping stands for the whole; a tap beyond it is somebody's slip and makes no sections.
    """
    if winding.search_coil and winding.turns is not None:
        return [Counted(winding.name, winding.turns, 0.0, "your own turns")]
    whole = stripped
    if whole is None and winding.turns is not None:
        whole = count_of(winding.name, winding.turns, rules, winding.turns_within, "job file")
    if whole is None:
        return []
    marks = [(tap.name, float(tap.turn)) for tap in winding.counted_taps(whole.turns)]
    if not marks:
        return [whole]
    sections, before = [], 0.0
    for name, turn in [*marks, ("finish", whole.turns)]:
        sections.append(count_of(f"{winding.name}.{name}", turn - before, rules, whole.within, whole.how))
        before = turn
    return [whole, *sections]


def _told(typed: Typed, doubts: tuple[Doubt, ...]) -> Estimate | None:
    """With the doubt that the meter itself gave; None for a reading that somebody typed."""
    parts: dict[str, float] = {}
    for one in doubts:
        parts[one.source] = parts.get(one.source, 0.0) + one.sensitivity * one.u
    return Estimate(typed.value, parts) if parts else None


def _typed(typed: Typed, accuracy: AccuracyText, meter: str, unit: str, own: str) -> Estimate:
    """Readings of one meter typed to the same last place share their gain and offset: they were on one range."""
    components = Accuracy(percent_of_reading=100 * accuracy.of_reading, counts=accuracy.counts).components(
        typed.value,
        resolution=typed.resolution,
        span=None,
        shared=f"{meter or 'meter'}:{unit}:to{typed.resolution:g}",
        own=own,
    )
    return Estimate(typed.value, {one.source: one.sensitivity * one.u for one in components})


def _at_twenty(ohms: Estimate, temperature: float | None) -> Estimate:
    """Brought to 20 degC; where nobody read a temperature, the room's is taken and doubted."""
    factor = at_temperature(1.0, temperature or _TWENTY, _TWENTY)
    u = _U_TEMPERATURE if temperature is not None else 2 * _U_TEMPERATURE
    return (ohms * factor).also("temperature of the copper", 0.00393 * u * ohms.value)
