"""Every reading that a unit of a job should give, as a list with doubts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.design.class_check import ClassCheck, class_check
from bench.design.expected import expect
from bench.design.loaded import NotOnLoad, loaded_unit
from bench.design.on_load_readings import OnLoadReadings, on_load_readings
from bench.job.expectation import Expectation, Span
from bench.job.expected_reading import Foreseen, Kind
from bench.job.model import Job

__all__ = ["Prediction", "foreseen"]

_A_FEW_VOLTS = 0.05
"""Of nominal: where sums and differences are read, and where the core's permeability is low."""

_POINTS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.1)


@dataclass(frozen=True)
class Prediction:
    """rows: readings with their doubts;  doubts_on_load: what the doubt of those on load holds, in words;  left_out:
    what on load is not among them or was taken for want of knowledge, one line each;  thermal: the rise against the
    class of insulation that the job asks for, None where it asks for none or nothing tells the rise."""

    rows: tuple[Foreseen, ...]
    doubts_on_load: tuple[str, ...]
    left_out: tuple[str, ...]
    thermal: ClassCheck | None


def foreseen(job: Job, rules: dict[str, Any], turns_within: dict[str, float] | None = None) -> Prediction:
    """Resistances, ratios, open-circuit volts, sums and differences, exciting curve, and volts on load.

    rules: a table of profiles/limits;  turns_within: half width of a count, by winding, where turns were counted and
    not designed.  Doubts: of resistance from wire and mean turn, of ratios from the drop, the leakage and the counts,
    of current and watts from steel, joints, stack and building factor, of readings on load from each of these, leakage
    and valves by itself.  Raises NotEnough.
    """
    expectation = expect(job, rules)
    u_turns = {name: half / math.sqrt(3.0) for name, half in (turns_within or {}).items()}
    try:
        on_load = on_load_readings(loaded_unit(job, rules), u_turns)
    except NotOnLoad as lacking:
        on_load = OnLoadReadings(left_out=tuple(f"nothing on load: {reason}" for reason in lacking.reasons))
    rows = (
        *_resistances(expectation),
        *_ratios(expectation, u_turns),
        *_sums(expectation, u_turns),
        *_curve(expectation),
        *on_load.rows,
    )
    return Prediction(rows, on_load.doubts, on_load.left_out, class_check(job.targets.temperature_class, on_load.rises))


def _resistances(expectation: Expectation) -> list[Foreseen]:
    return [
        Foreseen(Kind.RESISTANCE, one.name, "", one.resistance, one.resistance * one.u_log_resistance, "ohm")
        for one in expectation.spans.values()
        if one.resistance is not None and math.isfinite(one.resistance)
    ]


def _ratios(expectation: Expectation, u_turns: dict[str, float]) -> list[Foreseen]:
    """At nominal supply: the fed winding's own drop takes a little from all others."""
    volts = expectation.voltage
    drop = expectation.drop(volts)
    rows = []
    for one in expectation.spans.values():
        if one.winding == expectation.fed:
            continue
        ratio = abs(expectation.ratio(one.name))
        u_log_turns = _u_log_turns(one, expectation, u_turns)
        rows.append(Foreseen(Kind.RATIO, one.name, "", ratio, ratio * u_log_turns, "1"))
        u_log = math.hypot(u_log_turns, drop * expectation.u_log_drop, expectation.leakage(volts) / math.sqrt(3.0))
        open_volts = volts * (1 - drop) * ratio
        rows.append(Foreseen(Kind.OPEN_CIRCUIT, one.name, f"{volts:g} V", open_volts, open_volts * u_log, "V"))
    return rows


def _sums(expectation: Expectation, u_turns: dict[str, float]) -> list[Foreseen]:
    """In series with the primary, aiding and bucking, for each volt on it; a few volts only: they join both sides."""
    rows = []
    for one in expectation.spans.values():
        if one.winding == expectation.fed or not one.whole:
            continue
        ratio = expectation.ratio(one.name)
        beside_the_core = expectation.leakage(_A_FEW_VOLTS * expectation.voltage) / math.sqrt(3.0)
        u = abs(ratio) * math.hypot(_u_log_turns(one, expectation, u_turns), beside_the_core)
        rows.append(Foreseen(Kind.SERIES_SUM, one.name, "a few volts", abs(1 + ratio), u, "1"))
        rows.append(Foreseen(Kind.SERIES_DIFFERENCE, one.name, "a few volts", abs(1 - ratio), u, "1"))
    return rows


def _curve(expectation: Expectation) -> list[Foreseen]:
    curve, rows = expectation.curve, []
    if curve is None:
        return []
    for share in _POINTS:
        volts = share * expectation.voltage
        amps, watts = curve.current_at(volts), curve.watts_at(volts)
        at = f"{volts:.4g} V, {expectation.frequency:g} Hz"
        rows.append(
            Foreseen(Kind.EXCITING_CURRENT, expectation.fed, at, amps, amps * curve.u_log_current_at(volts), "A")
        )
        rows.append(Foreseen(Kind.CORE_WATTS, expectation.fed, at, watts, watts * curve.u_log_watts_at(volts), "W"))
    return rows


def _u_log_turns(one: Span, expectation: Expectation, u_turns: dict[str, float]) -> float:
    own = u_turns.get(one.winding, 0.0) / abs(one.turns) if one.turns else 0.0
    fed = u_turns.get(expectation.fed, 0.0) / abs(expectation.fed_span.turns)
    return math.hypot(own, fed)
