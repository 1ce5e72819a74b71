"""What makes a unit conforming: each judged quantity's true value against the limits that the rules give it.

A unit is *nonconforming* if the true value of any quantity that the acceptance rules limit lies outside its limits:
height of the stack; resistance of each winding or section at 20 degC; insulation of each winding and screen; turns by
ratio of each winding and section; polarity; the share of the volts that reaches the primary behind the limiter;
exciting current at each of the rules' points; watts of the core; open-circuit volts at nominal supply. Otherwise it is
*conforming*. No reading goes into it, and no meter: a value exactly on its limit conforms. What else a procedure looks
at (the supply, the earth lead, what a person sees, the core at a few volts) has no truth of the unit here; the tables
say so.

The limits are worked out here a second time, from the rules' table and the design's expected values, so that a step
that judges against other limits than the rules' shows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.acceptance.decision import COVERAGE
from bench.acceptance.limiter import Limiter
from bench.job.expectation import Expectation, Span
from tests.campaigns.decisions.truth import PerfectBench

__all__ = ["SERIES_OHMS", "Judged", "judged_quantities"]

SERIES_OHMS = 1000.0
"""The known resistor of this bench [ohm]."""
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Judged:
    """One judged quantity: true value and limits, SI; `step` is the step that judges it."""

    step: str
    true: float
    lower: float = -math.inf
    upper: float = math.inf

    @property
    def conforms(self) -> bool:
        """Whether the true value lies within its limits, these included; not a number does not."""
        return self.on_limit or self.lower <= self.true <= self.upper

    @property
    def on_limit(self) -> bool:
        """Whether the true value is the limit itself, as one turn more is: no meter ever decides that."""
        return any(math.isclose(self.true, limit, rel_tol=_ROUNDING) for limit in (self.lower, self.upper))

    def __str__(self) -> str:
        return f"{self.step}: true {self.true:.6g} in {self.lower:.6g} .. {self.upper:.6g}"


def judged_quantities(bench: PerfectBench, design: Expectation, rules: dict[str, Any]) -> dict[str, Judged]:
    """All judged quantities of a unit, by the step that judges them."""
    secondaries = [span for span in design.spans.values() if span.winding != design.fed]
    found = [_stack(bench, design, rules), *_resistances(bench, design, rules)]
    least = rules["insulation"]["minimum_ohm"]
    found += [Judged(f"insulation:{between}", ohms, least) for between, ohms in bench.insulations().items()]
    for span in secondaries:
        found += _turns(bench, span, rules)
        found.append(_volts(bench, design, span, rules))
    found.append(_first_power(bench, design, rules))
    found += _curve(bench, design, rules)
    return {one.step: one for one in found}


def _stack(bench: PerfectBench, design: Expectation, rules: dict[str, Any]) -> Judged:
    assert design.stack is not None
    return Judged("stack_height", bench.stack, *_within(design.stack, rules["stack"]["tolerance"]))


def _resistances(bench: PerfectBench, design: Expectation, rules: dict[str, Any]) -> list[Judged]:
    """Of the sections where a winding has taps, of the whole winding elsewhere."""
    table = rules["resistance"]
    tapped = {span.winding for span in design.spans.values() if not span.whole}
    found = []
    for span in design.spans.values():
        if span.whole and span.winding in tapped:
            continue
        assert span.resistance is not None
        assert span.wire_diameter is not None
        fine = span.wire_diameter < table["fine_wire_below_mm"] * 1e-3
        tolerance = table["fine_wire_tolerance" if fine else "tolerance"]
        found.append(Judged(f"resistance:{span.name}", bench.resistance(span), *_within(span.resistance, tolerance)))
    return found


def _turns(bench: PerfectBench, span: Span, rules: dict[str, Any]) -> list[Judged]:
    design, true = abs(span.turns), bench.turns(span)
    found = []
    for step, key in (("ratio", "ratio"), ("turns", "turns")):
        allowed = max(rules[key]["tolerance"] * design, rules[key]["turns"])
        found.append(Judged(f"{step}:{span.name}", abs(true), design - allowed, design + allowed))
    if span.whole:
        found.append(Judged(f"polarity:{span.name}", math.copysign(1.0, true) if true == true else math.nan, 0.0))
    return found


def _volts(bench: PerfectBench, design: Expectation, span: Span, rules: dict[str, Any]) -> Judged:
    table = rules["open_circuit"]
    expected = design.voltage * abs(design.ratio(span.name)) * (1 - design.drop(design.voltage))
    tolerance = max(table["tolerance"], table["turns"] / abs(span.turns))
    return Judged(f"open_circuit:{span.name}", bench.volts(span), *_within(expected, tolerance))


def _first_power(bench: PerfectBench, design: Expectation, rules: dict[str, Any]) -> Judged:
    assert design.curve is not None
    keeps = Limiter(volts=design.voltage).share_left(design.curve, design.voltage, COVERAGE)
    least = min(rules["first_power"]["minimum_fraction"], 0.9 * keeps)
    return Judged("first_power", bench.share_behind_lamp(), least)


def _curve(bench: PerfectBench, design: Expectation, rules: dict[str, Any]) -> list[Judged]:
    """The upper 95 % of the design at the true volts: exciting current at its points, watts behind the resistor."""
    curve = design.curve
    assert curve is not None
    found = []
    for share in rules["exciting"]["points"]:
        volts = share * design.voltage
        upper = curve.current_at(volts) * math.exp(COVERAGE * curve.u_log_current_at(volts))
        found.append(Judged(f"exciting:{round(share * 100)}", bench.exciting(share), upper=upper))
    volts, watts = bench.watts_behind(SERIES_OHMS, rules["core_watts"]["at"])
    upper = curve.watts_at(volts) * math.exp(COVERAGE * curve.u_log_watts_at(volts))
    return [*found, Judged("core_watts", watts, upper=upper)]


def _within(value: float, tolerance: float) -> tuple[float, float]:
    return value * (1 - tolerance), value * (1 + tolerance)
