"""What the drawing of a job says whatever was made of it: worked out once for the hundred variants of a diagnosis."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bench.design.core_curve import CoreCurve, curve_volts
from bench.design.core_drawn import magnetic_core, refused_curve, was_read
from bench.design.spans import Section, sections, spans
from bench.design.winding_leakage import winding_leakage
from bench.job.expectation import GOOD, CoreRead, Span
from bench.job.model import Job
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import MU_0

__all__ = ["AsDrawn"]

_LOW_SHARE = 0.2
"""Of nominal flux, down to which a core's watts must have been read to tell what it takes at a few volts."""

_COPPER = 1 / 58e6
"""Resistivity of copper at 20 degC [ohm m]: 1/58 ohm mm2/m (IEC 60028)."""


@dataclass(frozen=True)
class AsDrawn:
    """Each part is worked out when it is first asked for;  assembly: the allowances of a hand-made unit."""

    job: Job
    assembly: dict[str, Any]

    @cached_property
    def core(self) -> MagneticCore | None:
        """The good core, None while its size or its steel is not known."""
        return magnetic_core(self.job, self.assembly)

    @cached_property
    def core_read(self) -> CoreRead:
        """What of the good core's curve is its own, as it was read before it was taken apart."""
        found = self.job.as_found
        if found is None or self.job.supply is None or not was_read(self.job, self.assembly):
            return CoreRead()
        assert self.job.primary is not None
        watts = [one.voltage for one in found.exciting if one.power]
        per_volt = 1 / ((found.curve_turns or 1.0) * (found.frequency or 1.0))
        nominal = self.job.supply.voltage / self.job.supply.frequency / abs(self.turns[self.job.primary.name])
        low = bool(watts) and min(watts) * per_volt < _LOW_SHARE * nominal
        return CoreRead(amps=True, watts=bool(watts), low=low)

    @cached_property
    def curve(self) -> CoreCurve:
        """Of the good core on the primary as drawn; the core is known, and the steel at the supply's frequency."""
        assert self.core is not None, "asked for only where it is known"
        assert self.job.supply is not None
        assert self.job.primary is not None
        volts = curve_volts(self.job.supply.voltage)
        return CoreCurve(self.core, abs(self.turns[self.job.primary.name]), volts, self.job.supply.frequency)

    @cached_property
    def refused_curve(self) -> str:
        """Why the exciting curve as found is no measure of a good core; empty where it is one, or none was read."""
        return refused_curve(self.job, self.assembly)

    @cached_property
    def sections(self) -> dict[str, tuple[Section, ...]]:
        """Of each winding, what lies between its leads."""
        return sections(self.job)

    @cached_property
    def good_spans(self) -> dict[str, Span]:
        """Whole windings and sections of a unit as drawn."""
        return spans(self.job, self.sections, self.assembly, GOOD)

    @cached_property
    def turns(self) -> dict[str, float]:
        """Signed turns of each span as drawn."""
        return {span.name: span.turns for span in self.good_spans.values()}

    @cached_property
    def leakage(self) -> NDArray[np.float64] | None:
        """Of the windings by their places [H], each on its own turns, in the job's order; None without all places."""
        return winding_leakage(self.job)

    @cached_property
    def window_permeance(self) -> float:
        """Permeance [H] of the winding space between leg and limbs: mu0 x mean turn x half its width / height.

        Half, since the magnetomotive force across it falls to nothing on the way; an upper bound, not a leakage
        reactance.
        """
        shape, stack = self.job.core.shape, self.job.core.stack
        if shape is None or stack is None:
            return 0.0
        around = 2 * (shape.tongue + stack) + math.pi * shape.window_width
        return MU_0 * around * shape.window_width / 2 / shape.window_height

    @cached_property
    def screen_ohms(self) -> dict[str, float]:
        """Once round each screen's foil [ohm at 20 degC], as wide as nine tenths of the window is high."""
        shape, stack = self.job.core.shape, self.job.core.stack
        if shape is None or stack is None:
            return {}
        around = 2 * (shape.tongue + stack) + 0.03
        return {one.name: _COPPER * around / (one.thickness * 0.9 * shape.window_height) for one in self.job.screen}
