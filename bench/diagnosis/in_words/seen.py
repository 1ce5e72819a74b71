"""Readings against their design, each with the doubt by which it counts as right or off."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.allowances import U_TURNS
from bench.job.expectation import Expectation
from bench.job.model import Job

__all__ = ["HALF", "Off", "Said", "Seen", "listed", "percent"]

HALF = "half the volts"
_NOTICED = 2.0
"""Standard uncertainties from which a reading is called off (common practice: k = 2)."""
_LITTLE_FLUX = 0.3
"""Share of nominal volts under which a core's watts are as badly known as its initial permeability."""


@dataclass(frozen=True)
class Said:
    """One sentence;  fault: that it speaks for;  winding: its place, empty where the readings tell none."""

    sentence: str
    fault: str
    winding: str = ""

    def is_of(self, place: str) -> bool:
        return self.winding in ("", place)


@dataclass(frozen=True)
class Off:
    """One reading: log is ln(measured / designed), u its standard uncertainty with what a good unit may differ."""

    name: str
    measured: float
    expected: float
    u: float
    volts: float = 0.0

    @property
    def log(self) -> float:
        return math.log(self.measured / self.expected)

    @property
    def share(self) -> float:
        """Over the design, as a fraction; negative under it."""
        return self.measured / self.expected - 1

    @property
    def more(self) -> float:
        """Over the design, in the unit of the reading."""
        return self.measured - self.expected

    @property
    def off(self) -> bool:
        return abs(self.log) > _NOTICED * self.u

    @property
    def up(self) -> bool:
        return self.off and self.log > 0

    def like(self, log: float, u: float = 0.0) -> bool:
        """Whether it lies where ln(measured / designed) is `log`, known to u."""
        return abs(self.log - log) <= _NOTICED * math.hypot(self.u, u)


@dataclass(frozen=True)
class Seen:
    """The readings of one unit, sorted by what they are of; those laid to the reading itself are left out."""

    job: Job
    design: Expectation
    steps: tuple[StepResult, ...]

    @cached_property
    def judged(self) -> tuple[StepResult, ...]:
        return tuple(one for one in self.steps if one.verdict is not Verdict.TROUBLE)

    @cached_property
    def turns(self) -> dict[str, Off]:
        """Turns by volts, by span; of two readings the later, at nominal, which is the sharper one."""
        return {
            one.winding: Off(one.winding, measured, expected, math.hypot(one.u / measured, U_TURNS))
            for one, measured, expected in self._numbers("turns_by_ratio")
            if one.winding in self.design.spans
        }

    @cached_property
    def ohms(self) -> dict[str, Off]:
        """Resistances at 20 degC, by span."""
        spans = self.design.spans
        return {
            one.winding: Off(
                one.winding, measured, expected, math.hypot(one.u / measured, spans[one.winding].u_log_resistance)
            )
            for one, measured, expected in self._numbers("resistance")
            if one.winding in spans
        }

    @cached_property
    def amps(self) -> tuple[Off, ...]:
        """Exciting currents by rising volts."""
        curve = self.design.curve
        if curve is None:
            return ()
        found = [
            Off(one.id, measured, expected, math.hypot(one.u / measured, curve.u_log_current_at(at)), at)
            for one, measured, expected in self._numbers("current_ac")
            if one.id.startswith("exciting") and (at := one.at_volts or 0.0) > 0
        ]
        return tuple(sorted(found, key=lambda one: one.volts))

    @cached_property
    def watts(self) -> tuple[Off, ...]:
        """The core's watts by rising volts."""
        curve = self.design.curve
        if curve is None:
            return ()
        found = []
        for one, measured, expected in self._numbers("power"):
            at = one.at_volts or 0.0
            if one.id.startswith(("core_watts", "low_watts")) and at > 0:
                weak = self.design.u_log_drop if at < _LITTLE_FLUX * self.design.voltage else 0.0
                u = math.sqrt((one.u / measured) ** 2 + curve.u_log_watts_at(at) ** 2 + weak**2)
                found.append(Off(one.id, measured, expected, u, at))
        return tuple(sorted(found, key=lambda one: one.volts))

    def at(self, volts: float) -> str:
        """Volts on the primary as they are spoken of: against nominal."""
        share = volts / self.design.voltage
        if abs(share - 0.5) < 0.02:
            return HALF
        return "nominal" if abs(share - 1) < 0.01 else f"{share * 100:.0f} % of nominal"

    def _numbers(self, quantity: str) -> Iterable[tuple[StepResult, float, float]]:
        for one in self.judged:
            if one.quantity == quantity and one.measured is not None and one.measured > 0 and one.expected:
                yield one, one.measured, abs(one.expected)


def percent(share: float) -> str:
    """The size of a share: two decimals under 1 %, then fewer."""
    size = abs(share) * 100
    return f"{size:.2f} %" if size < 0.995 else f"{size:.1f} %" if size < 9.95 else f"{size:.0f} %"


def listed(names: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
