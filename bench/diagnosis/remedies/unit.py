"""The unit as it is under one hypothesis, beside its design: volts, flux and copper that a remedy is weighed by."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from bench.acceptance.result import StepResult
from bench.job.expectation import GOOD, Expectation, Variant
from bench.job.model import Job
from bench.job.on_load import resistor_volts

__all__ = ["Unit"]


@dataclass(frozen=True)
class Unit:
    """variant: how it differs from the job's design;  forward: the readings of a variant;  steps: as read."""

    job: Job
    variant: Variant
    forward: Callable[[Variant], Expectation]
    steps: tuple[StepResult, ...] = ()

    @cached_property
    def design(self) -> Expectation:
        return self.forward(GOOD)

    @cached_property
    def as_it_is(self) -> Expectation:
        return self.forward(self.variant)

    @cached_property
    def secondaries(self) -> tuple[str, ...]:
        return tuple(one.name for one in self.job.secondaries)

    def lies_over(self, winding: str) -> tuple[str, ...]:
        """Windings and screens that lie over a winding, outermost first; empty for the outermost itself."""
        found: list[str] = []
        for one in reversed(self.job.winding):
            found += [screen.name for screen in self.job.screen if screen.after == one.name]
            if one.name == winding:
                return tuple(found)
            found.append(one.name)
        return tuple(found)


def open_volts(model: Expectation, name: str, volts: float | None = None) -> float:
    """Open-circuit volts [V] of a span with `volts` on the primary, nominal where none are given."""
    fed = model.voltage if volts is None else volts
    return fed * (1 - model.drop(fed)) * abs(model.ratio(name))


def loaded_volts(job: Job, model: Expectation) -> dict[str, float]:
    """Volts [V] of each secondary with all of them at rated load, copper at 20 degC; empty where ohms are not known.

    A rated load is the resistor that takes the rated current at the rated volts.
    """
    loads = {
        one.name: one.rated_voltage / one.rated_current
        for one in job.secondaries
        if one.rated_voltage
        and one.rated_current
        and model.ratio(one.name)
        and _known(model.spans[one.name].resistance)
    }
    if not loads or not _known(model.fed_span.resistance):
        return {}
    return resistor_volts(model, loads, model.voltage)


def _known(ohms: float | None) -> bool:
    return ohms is not None and math.isfinite(ohms)
