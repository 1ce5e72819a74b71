"""The exciting curve of a core as designed, and of the same core changed by a fault: its parts are worked out once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bench.job.expectation import ExcitingCurve, Variant, loop_beside
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import curve_causes, exciting_parts, smaller_core, wave_factors

__all__ = ["CoreCurve", "curve_volts", "with_loop"]


def curve_volts(nominal: float) -> NDArray[np.float64]:
    """Volts of a curve's points, from 3 % to 130 % of nominal."""
    return np.concatenate([nominal * np.array([0.03, 0.06, 0.12]), np.linspace(0.2, 1.3, 34) * nominal])


class CoreCurve:
    """Of a good core on `turns` at `voltage` (n,) [V]; any change that a variant makes is a sum of the same parts."""

    def __init__(self, core: MagneticCore, turns: float, voltage: NDArray[np.float64], frequency: float) -> None:
        self._core, self._turns, self._frequency = core, turns, frequency
        self._parts = exciting_parts(core, turns, voltage, frequency)
        self._smaller = exciting_parts(smaller_core(core), turns, voltage, frequency)

    def good(self) -> ExcitingCurve:
        """With the factors of its wave, by which readings are corrected."""
        found = self.changed(Variant(), self._turns)
        form_factor, crest_factor = wave_factors(self._core, self._turns, self._parts.voltage, self._frequency)
        return replace(found, form_factor=form_factor, crest_factor=crest_factor)

    def changed(self, variant: Variant, turns: float) -> ExcitingCurve:
        """With a variant's joints, stack and steel, on `turns`; closed loops are not in it.

        The same flux density in a stack s times as high, on r times the turns, is that of s r times the volts: it takes
        a current of 1/r, and s times the watts.
        """
        core = replace(self._core, joint=self._core.joint + variant.joint_added)
        field, loss = variant.field_factor, variant.loss_factor
        causes = curve_causes(core, self._parts, self._smaller, field, loss)
        more_turns, higher = turns / self._turns, variant.stack_factor
        return ExcitingCurve(
            voltage=self._parts.voltage * (more_turns * higher),
            current=self._parts.current(core.joint, field, loss) / more_turns,
            u_log_current=np.sqrt(np.sum(causes.on_current**2, axis=0)),
            core_watts=self._parts.loss * (loss * higher),
            u_log_watts=np.sqrt(np.sum(causes.on_loss**2, axis=0)),
            on_current=causes.on_current,
            on_watts=causes.on_loss,
        )


def with_loop(curve: ExcitingCurve, turns: float, conductance: float) -> ExcitingCurve:
    """A good core's curve with a closed loop of `conductance` [S] for one turn: a current in phase with the EMF.

    What the loop draws is known once its ohms are: only the core's own part keeps its spread.  The factors of the wave
    are left out: a reading is corrected by the design's wave, never by a fault's.
    """
    if conductance == 0.0:
        return curve
    current, watts = loop_beside(curve.voltage, curve.current, curve.core_watts, conductance / turns**2)
    return ExcitingCurve(
        voltage=curve.voltage,
        current=current,
        u_log_current=curve.u_log_current * curve.current / current,
        core_watts=watts,
        u_log_watts=curve.u_log_watts * curve.core_watts / watts,
        on_current=None if curve.on_current is None else curve.on_current * curve.current / current,
        on_watts=None if curve.on_watts is None else curve.on_watts * curve.core_watts / watts,
        core=curve,
        loop=conductance / turns**2,
    )
