"""Exciting currents and core watts as one curve foretells them, with the doubt that its points have in common."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bench.diagnosis.evidence import Evidence, Kind
from bench.job.expectation import ExcitingCurve, loop_beside

__all__ = ["CurveReadings"]

Array = NDArray[np.float64]


class CurveReadings:
    """The currents and watts among the readings; most hypotheses share a curve, and what it foretells is kept.

    rows: theirs;  u_amps, u_watts: of each point about its curve;  u_low_amps, u_low_watts: of ln of the current and of
    the watts at a few volts.
    """

    def __init__(
        self, evidence: Evidence, volts: Array, u_amps: float, u_watts: float, u_low_amps: float, u_low_watts: float
    ) -> None:
        amps = [row for row, _ in evidence.rows(Kind.AMPS)]
        watts = [row for row, _ in evidence.rows(Kind.WATTS)]
        self.rows = np.array([*amps, *watts], dtype=int)
        self._count = len(amps)
        self._at = np.log(volts[self.rows])
        self._own = np.array([u_amps**2] * len(amps) + [u_watts**2] * len(watts))
        low = np.array([evidence.observed[row].low for row in self.rows], dtype=float)
        self._low = low * np.array([u_low_amps] * len(amps) + [u_low_watts] * len(watts))
        self._known: dict[int, tuple[ExcitingCurve, Array, Array]] = {}
        self._cores: dict[int, tuple[ExcitingCurve, Array, Array]] = {}
        self._watts: dict[int, Array] = {}

    def foretold(self, curve: ExcitingCurve) -> tuple[Array, Array]:
        """Logarithms (m,) at the readings' volts, and their covariance (m, m)."""
        known = self._known.get(id(curve))
        if known is None:
            known = self._known[id(curve)] = curve, *self._work_out(curve)
        return known[1], known[2]

    def _work_out(self, curve: ExcitingCurve) -> tuple[Array, Array]:
        values, causes = self._of_core(curve.core or curve)
        low = self._low
        if curve.core is not None:
            values, share = self._with_loop(values, curve.core, curve.loop)
            # Only the core's own part is in doubt: the rest is a loop's, and known.
            causes, low = causes * share, low * share
        return values, causes.T @ causes + np.diag(self._own + low**2)

    def _of_core(self, curve: ExcitingCurve) -> tuple[Array, Array]:
        """Logarithms (m,) and what each cause does to them (c, m)."""
        known = self._cores.get(id(curve))
        if known is None:
            assert curve.on_current is not None, "a curve of a design tells its causes apart"
            assert curve.on_watts is not None
            causes = self._at_rows(curve, curve.on_current, curve.on_watts)
            known = self._cores[id(curve)] = curve, self._logs_at(curve), causes
        return known[1], known[2]

    def _with_loop(self, values: Array, core: ExcitingCurve, loop: float) -> tuple[Array, Array]:
        """Logarithms (m,), and what share of each is the core's own."""
        count, volts = self._count, np.exp(self._at)
        taken, amps = np.exp(self._watts_of(core)), np.exp(values)
        looped, more = loop_beside(volts, amps, taken, loop)
        found, share = np.log(more), taken / more
        found[:count], share[:count] = np.log(looped[:count]), (amps / looped)[:count]
        return found, share

    def _watts_of(self, curve: ExcitingCurve) -> Array:
        """ln of the core's watts at all rows' volts."""
        known = self._watts.get(id(curve))
        if known is None:
            logs = np.log(curve.core_watts)
            known = self._watts[id(curve)] = self._at_rows(curve, logs, logs)
        return known

    def _logs_at(self, curve: ExcitingCurve) -> Array:
        return self._at_rows(curve, np.log(curve.current), np.log(curve.core_watts))

    def _at_rows(self, curve: ExcitingCurve, of_amps: Array, of_watts: Array) -> Array:
        """Straight between points (..., n) in the logarithm of the volts, and on beyond their ends: (..., m)."""
        logs = np.log(curve.voltage)
        after = np.clip(np.searchsorted(logs, self._at), 1, len(logs) - 1)
        share = (self._at - logs[after - 1]) / (logs[after] - logs[after - 1])
        points = np.where(
            np.arange(len(self.rows)) < self._count,
            of_amps[..., after - 1] * (1 - share) + of_amps[..., after] * share,
            of_watts[..., after - 1] * (1 - share) + of_watts[..., after] * share,
        )
        return np.asarray(points)
