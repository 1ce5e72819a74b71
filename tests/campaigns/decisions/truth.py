"""What is true of a unit: its judged quantities as a perfect meter would read them on a perfect supply.

From the rehearsal alone: turns are counted along its coils, ohms are taken at 20 degC, volts, amperes and watts from
its solved circuit behind a stiff sine of the job's volts and hertz.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import replace

import numpy as np

from bench.job.expectation import Expectation, Span
from bench.rehearsal.solve import rms
from bench.rehearsal.supply import Source
from bench.rehearsal.unit import Unit
from bench.rehearsal.variation import SourceTruth
from bench.rehearsal.wiring import Connection, Excitation, Quantity, node_of
from bench.rehearsal.workbench import Solved, Workbench
from tests.campaigns.decisions.population import Drawn

__all__ = ["PerfectBench", "signed_turns"]

_TWENTY = 293.15
_STIFF = SourceTruth(1e-6, 0.0)


class PerfectBench:
    """The unit on a bench without any error of its own; `design` says only which span lies between which leads."""

    def __init__(self, unit: Drawn, design: Expectation) -> None:
        clean = replace(
            unit.variation,
            temperature=_TWENTY,
            meter_leads=0.0,
            dial_scale=1.0,
            series_scale=1.0,
            supply_scale=1.0,
            drift=0.0,
            frequency_scale=1.0,
            variac=_STIFF,
            low_voltage=_STIFF,
            harmonics={},
            tester_scale=1.0,
        )
        self._bench = Workbench(unit.job, clean, unit.faults)
        self._design = design
        self._fed = design.fed_span
        self._watts: dict[tuple[float, float], tuple[float, float]] = {}

    @property
    def nominal(self) -> float:
        """Volts of the supply that the job is for."""
        return self._design.voltage

    @property
    def stack(self) -> float:
        """Height of the stack [m]."""
        return self._bench.unit.stack

    def resistance(self, span: Span) -> float:
        """Ohms between the span's leads at 20 degC."""
        self._bench.excite(None, 0.0)
        return self._bench.resistance(span.from_terminal, span.to_terminal)

    def insulations(self) -> dict[str, float]:
        """Insulation [ohm] of each body, and of each pair as `one-other`, by name.

        Of a body: the least to any other, which is what the rehearsal's tester is held to.
        """
        pairs = self._bench.unit.insulation
        bodies = {name for pair in pairs for name in pair if name != "core"}
        least = {name: min(ohms for pair, ohms in pairs.items() if name in pair) for name in sorted(bodies)}
        ways = {f"{a}-{b}": ohms for pair, ohms in pairs.items() for a, b in (pair, pair[::-1])}
        return {**least, **ways}

    def turns(self, span: Span) -> float:
        """Turns by ratio, signed as the design draws them: of the span for the design's turns of the primary."""
        own, fed = (self._signed(one) for one in (span, self._fed))
        drawn = 1.0 if self._design.ratio(span.name) > 0 else -1.0
        return drawn * own / fed * abs(self._fed.turns) if fed else math.nan

    def volts(self, span: Span) -> float:
        """Open-circuit volts at exactly nominal supply."""
        return rms(self._at(1.0).voltage(*self._nodes(span)))

    def exciting(self, share: float) -> float:
        """Amperes that the primary takes with a share of nominal volts on it, all else open."""
        self._bench.connect(Connection(Quantity.CURRENT_AC, "supply.live", self._fed.from_terminal), (), 0.0)
        return rms(self._at(share).current("ammeter"))

    def watts_behind(self, ohms: float, share: float) -> tuple[float, float]:
        """Watts that the core takes behind a resistor, with the primary's volts then: V, W."""
        solved = self._at(share, series=ohms)
        volts, amps = solved.voltage(*self._nodes(self._fed)), solved.current("series")
        taken = float(np.real(np.sum(volts * np.conj(amps)))) / 2
        return rms(volts), taken - rms(amps) ** 2 * self.resistance(self._fed)

    def watts_at(self, volts: float, ohms: float, share: float) -> float:
        """Watts that the core takes behind a resistor when its primary has these volts, near a share of nominal.

        Along the power law through two supplies, 7 % below and above: the dial of a variac reaches no farther.
        """
        (low, low_watts), (high, high_watts) = (self._behind(ohms, share * step) for step in (0.93, 1.07))
        power = math.log(high_watts / low_watts) / math.log(high / low)
        return low_watts * math.pow(volts / low, power)

    def _behind(self, ohms: float, share: float) -> tuple[float, float]:
        if (ohms, share) not in self._watts:
            self._watts[ohms, share] = self.watts_behind(ohms, share)
        return self._watts[ohms, share]

    def share_behind_lamp(self) -> float:
        """Share of nominal volts that the primary keeps behind the limiter."""
        solved = self._at(1.0, limiter=True)
        return rms(solved.voltage(*self._nodes(self._fed))) / self._design.voltage

    def _at(self, share: float, *, limiter: bool = False, series: float | None = None) -> Solved:
        """The circuit with a share of nominal on the primary's terminals."""
        fed, volts = self._fed, share * self._design.voltage
        feed = Excitation(fed.from_terminal, fed.to_terminal, volts, Source.VARIAC, limiter, series)
        self._bench.excite(feed, 0.0)
        solved = self._bench.solved(0.0)
        self._bench.connect(None, (), 0.0)
        assert solved is not None
        return solved

    def _nodes(self, span: Span) -> tuple[str, str]:
        unit = self._bench.unit
        return node_of(unit, span.from_terminal), node_of(unit, span.to_terminal)

    def _signed(self, span: Span) -> float:
        return signed_turns(self._bench.unit, *self._nodes(span))


def signed_turns(unit: Unit, begin: str, end: str) -> float:
    """Turns counted along the wire from one node to another; nan where no wire joins them, or a broken one."""
    steps: dict[str, list[tuple[str, float]]] = {}
    for coil in unit.coils:
        steps.setdefault(coil.begin, []).append((coil.end, coil.turns))
        steps.setdefault(coil.end, []).append((coil.begin, -coil.turns))
    counted, waiting = {begin: 0.0}, deque([begin])
    while waiting:
        here = waiting.popleft()
        for there, turns in steps.get(here, []):
            if there not in counted:
                counted[there] = counted[here] + turns
                waiting.append(there)
    return counted.get(end, math.nan)
