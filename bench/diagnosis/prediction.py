"""What a hypothesis foretells for each reading, and how far a unit that is so may still lie from it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.diagnosis.allowances import U_STACK
from bench.diagnosis.curve_readings import CurveReadings
from bench.diagnosis.evidence import Evidence, Kind, Observed
from bench.diagnosis.flux import backfed_share, drop_ratio, fed_turns, flux_share
from bench.diagnosis.hypothesis import Hypothesis
from bench.diagnosis.pairs import pair_of
from bench.job.expectation import Expectation

__all__ = ["Predicted", "Predictor"]

Array = NDArray[np.float64]

# Of one turn between the ends of an open screen, and of the foil's ohms as calculated; common practice, no source.
_U_OPEN_SCREEN = 0.01
_U_FOIL = 0.3
# An open winding shows a meter of many megohms what its neighbours' capacitance brings: share of its own turns, and how
# far that may lie; with the primary open there is nothing at all.  Common practice, no source.
_OPEN, _U_OPEN = 0.2, 0.3
_U_NOTHING = 0.02
# Of ohms over those designed, where nothing is foretold.
_ANY_OHMS = 100.0


@dataclass(frozen=True)
class Unexplained:
    """What no cause explains, standard uncertainties.

    ohms: of ln(ohms) from winding to winding;  turns: by volts, as a share;  amps, watts: of ln(current) and ln(watts)
    from point to point about a steel's curve, and about this core's own as found;  low_amps (of watts the
    design's u_log_drop): at a few volts, far below the tables;  regulation: a share of the design's.
    common_ohms: of a winding's u_log_resistance squared, the share that all windings have in common.
    """

    ohms: float
    turns: float
    amps: float
    watts: float
    amps_as_found: float
    watts_as_found: float
    low_amps: float
    low_amps_as_found: float
    low_watts_as_found: float
    regulation: float
    common_ohms: float


@dataclass(frozen=True)
class Predicted:
    """values (n,) and covariance (n, n) of the readings of one hypothesis, instruments left out.

    impossible: how many readings can't be at all if it holds.
    """

    values: Array
    covariance: Array
    impossible: int = 0


class Predictor:
    """For one set of readings and one design; what no hypothesis changes is worked out once."""

    def __init__(
        self, evidence: Evidence, design: Expectation, unexplained: Unexplained, rated: Mapping[str, float]
    ) -> None:
        """rated: ohms of the load that takes each winding's rated current."""
        self._evidence = evidence
        self._design = design
        self._own = unexplained
        volts = np.array([one.step.at_volts or design.voltage for one in evidence.observed])
        u_amps, u_watts = unexplained.amps, unexplained.watts
        u_low_amps, u_low_watts = unexplained.low_amps, design.u_log_drop
        if design.core_read.amps:
            u_amps = unexplained.amps_as_found
        if design.core_read.watts:
            u_watts = unexplained.watts_as_found
        if design.core_read.low:
            u_low_amps, u_low_watts = unexplained.low_amps_as_found, unexplained.low_watts_as_found
        self._curve = CurveReadings(evidence, volts, u_amps, u_watts, u_low_amps, u_low_watts)
        self._rated = dict(rated)
        self._diagonal = np.diag_indices(len(evidence))
        self._of_curve = np.ix_(self._curve.rows, self._curve.rows)
        self._rows = {kind: tuple(evidence.rows(kind)) for kind in Kind}
        self._ratios: dict[tuple[int, float | None, float], tuple[Expectation, float]] = {}
        self._always = self._of_ohms() + self._of_turns()

    def predict(self, hypothesis: Hypothesis, model: Expectation) -> Predicted:
        """model: the readings that the hypothesis expects."""
        values = self._evidence.values.copy()
        own, scale = np.zeros(len(values)), np.ones(len(values))
        impossible = 0
        for row, one in self._rows[Kind.OHMS]:
            ohms = model.spans[one.name].resistance if one.name in model.spans else None
            if ohms is not None and math.isinf(ohms):
                # Ohms that were read are those of no open winding: neither as many nor as few fit it.
                impossible += 1
                own[row] = _ANY_OHMS
            elif ohms is not None and ohms > 0 and one.step.expected:
                mean, deviation = hypothesis.excess.get(one.name, (0.0, 0.0))
                values[row] = scale[row] = ohms * math.exp(mean) / one.step.expected
                own[row] = deviation * values[row]
            else:
                own[row] = _ANY_OHMS  # the design does not know it
        for row, one in self._rows[Kind.TURNS]:
            values[row], own[row] = self._turns(one, hypothesis, model)
        for row, one in self._rows[Kind.SERIES]:
            values[row] = self._series(one, hypothesis, model)
        for row, one in self._rows[Kind.SEARCH]:
            values[row], own[row] = self._search(one, hypothesis, model)
        for row, one in self._rows[Kind.BACKFED]:
            values[row], own[row] = self._backfed(one, hypothesis, model)
        for row, _ in self._rows[Kind.STACK]:
            if model.stack is not None:
                values[row] = math.log(model.stack)
                own[row] = U_STACK / model.stack
        for row, one in self._rows[Kind.REGULATION]:
            values[row], own[row] = self._regulation(one, hypothesis, model)
        for row, one in self._rows[Kind.SCREEN]:
            share = hypothesis.screen_share if hypothesis.closed_screen == one.name else 1.0
            values[row] = share
            own[row] = math.hypot(_U_OPEN_SCREEN, _U_FOIL * (1 - share))
        # A doubt of wire or mean turn is a share of the ohms, however many they are.
        covariance = self._always * (scale[:, None] * scale)
        covariance[self._diagonal] += own**2
        self._add_curve(model, values, covariance)
        return Predicted(values, covariance, impossible)

    def _turns(self, one: Observed, hypothesis: Hypothesis, model: Expectation) -> tuple[float, float]:
        """Of the turns designed, what the volts show: the step took the design's drop in the primary for granted."""
        span, drawn = model.spans.get(one.name), self._design.spans.get(one.name)
        if span is None or drawn is None or not drawn.turns:
            return one.value, 1.0
        if math.isinf(model.fed_span.resistance or 0.0):
            return 0.0, _U_NOTHING
        if math.isinf(span.resistance or 0.0):
            return _OPEN, _U_OPEN
        share = abs(span.turns / drawn.turns) * abs(self._design.fed_span.turns) / fed_turns(hypothesis, model)
        return share * self._drop_ratio(one, model), 0.0

    def _search(self, one: Observed, hypothesis: Hypothesis, model: Expectation) -> tuple[float, float]:
        """The coil's own turns are known: its volts tell the core's flux, and with it the primary's turns alone."""
        if math.isinf(model.fed_span.resistance or 0.0):
            return 0.0, _U_NOTHING
        return flux_share(hypothesis, model, self._design, one.step.at_volts or model.voltage), 0.0

    def _backfed(self, one: Observed, hypothesis: Hypothesis, model: Expectation) -> tuple[float, float]:
        """Both windings without a current of their own, so without a drop."""
        pair = pair_of(one.name, model.spans)
        if pair is None or any(math.isinf(model.spans[name].resistance or 0.0) for name in pair):
            return one.value, 1.0
        # More ampere turns drive more flux beside the core, and a winding fed from outside shows it: the reading's own
        # doubt has the design's.
        volts = one.step.at_volts or model.voltage
        beside = max(0.0, model.leakage(volts) ** 2 - self._design.leakage(volts) ** 2)
        return backfed_share(hypothesis, model, self._design, *pair), math.sqrt(beside / 3)

    def _series(self, one: Observed, hypothesis: Hypothesis, model: Expectation) -> float:
        """Turns between the free ends of two that were joined so that they should add, or oppose, by the design."""
        pair = pair_of(one.name, model.spans)
        if pair is None:
            return one.value
        first, second = pair
        a, b = model.spans[first].turns, model.spans[second].turns
        drawn = self._design.spans[first].turns * self._design.spans[second].turns
        adds = one.step.id.startswith("sum:")
        sense = math.copysign(1.0, drawn)
        together = a + sense * b if adds else a - sense * b
        scale = self._design.design_fed_turns / fed_turns(hypothesis, model)
        return abs(together) * scale * self._drop_ratio(one, model)

    def _regulation(self, one: Observed, hypothesis: Hypothesis, model: Expectation) -> tuple[float, float]:
        """The design's, and what ohms beyond the design's add: of the winding, and of the primary on its side."""
        drawn, weights = one.step.expected or 0.0, self._ohms_weights(one)
        if not weights:
            return one.value, 10.0
        value, doubt = drawn, self._own.regulation * drawn
        for name, weight in weights.items():
            ohms, due = model.spans[name].resistance or 0.0, self._design.spans[name].resistance or 0.0
            if math.isinf(ohms):
                return one.value, 1.0
            value += weight * (ohms / due - 1)
            for part, (mean, deviation) in hypothesis.excess.items():
                span = self._design.spans.get(part)
                if span is not None and span.winding == self._design.spans[name].winding and span.resistance:
                    value += weight * span.resistance / due * math.expm1(mean)
                    doubt = math.hypot(doubt, weight * span.resistance / due * math.exp(mean) * deviation)
        return value, doubt

    def _ohms_weights(self, one: Observed) -> dict[str, float]:
        """By span, what a small change of ln(ohms) does to a reading: to itself, or to a regulation."""
        if one.kind is Kind.OHMS:
            return {one.name: 1.0} if one.name in self._design.spans else {}
        design, load = self._design, self._rated.get(one.name)
        span = design.spans.get(one.name)
        if span is None or not load or not span.resistance or not design.fed_span.resistance:
            return {}
        across = (span.turns / design.fed_span.turns) ** 2
        return {one.name: span.resistance / load, design.fed: design.fed_span.resistance * across / load}

    def _drop_ratio(self, one: Observed, model: Expectation) -> float:
        """Kept: most readings are taken at the same volts, and most hypotheses share curve and ohms of the primary."""
        volts = one.step.at_volts or model.voltage
        key = (id(model.curve), model.fed_span.resistance, volts)
        known = self._ratios.get(key)
        if known is None:
            # with the model, so that no other curve gets the id of this one
            known = self._ratios[key] = model, drop_ratio(model, self._design, volts)
        return known[1]

    def _add_curve(self, model: Expectation, values: Array, covariance: Array) -> None:
        """Currents and watts, whose causes are common to all of them."""
        curve, rows = model.curve, self._curve.rows
        if not len(rows):
            return
        if curve is None or curve.on_current is None:
            covariance[rows, rows] += 100.0
            return
        foretold, doubt = self._curve.foretold(curve)
        values[rows] = foretold
        covariance[self._of_curve] += doubt

    def _of_ohms(self) -> Array:
        """Mean turn common to all windings, wire to the sections of one, and a little of its own to each."""
        n = len(self._evidence)
        found = np.zeros((n, n))
        rows = [
            (row, self._ohms_weights(one))
            for row, one in enumerate(self._evidence.observed)
            if one.kind in (Kind.OHMS, Kind.REGULATION)
        ]
        for i, mine in rows:
            for j, theirs in rows:
                found[i, j] = sum(
                    weight * other * self._shared_ohms(a, b)
                    for a, weight in mine.items()
                    for b, other in theirs.items()
                )
        return found

    def _shared_ohms(self, one: str, other: str) -> float:
        """Covariance of ln(ohms) of two spans."""
        a, b = self._design.spans[one], self._design.spans[other]
        shared = self._own.common_ohms if a.winding != b.winding else 1.0
        own = self._own.ohms**2 if one == other else 0.0
        return shared * a.u_log_resistance * b.u_log_resistance + own

    def _of_turns(self) -> Array:
        own = np.zeros(len(self._evidence))
        for kind in (Kind.TURNS, Kind.SEARCH, Kind.BACKFED):
            for row, _ in self._evidence.rows(kind):
                own[row] = self._own.turns
        for row, one in self._evidence.rows(Kind.SERIES):
            own[row] = self._own.turns * max(1.0, abs(one.value)) + 0.02
        return np.diag(own**2)
