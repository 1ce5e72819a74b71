"""The same classifier, given what the rehearsal is made of: how much of a wrong name is the population's own doing.

Only here, and never in the program: the steel's formula, how far this rehearsal's units scatter, and how long its wires
lead out.  What it can't tell apart either, no classifier of this kind can from these readings.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache, cached_property
from typing import Any

import numpy as np

from bench.design.as_drawn import AsDrawn
from bench.design.forward import Forward
from bench.job.expectation import GOOD, Expectation, Span, Variant
from bench.job.model import Job
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import Steel
from bench.rehearsal.steel import DENSITY, named_steel
from bench.whole_test import rules_named

__all__ = ["ceiling_forward", "ceiling_rules"]

# As bench/rehearsal/variation.py draws them: standard deviations of ln(field), ln(loss), stacking; the mean of the
# joints' air [m] and its deviation, interleaved and butt; a wire's diameter, a mean turn, and what leads out [m].
_FIELD, _LOSS, _AREA = 0.17, math.hypot(0.07, 0.10 / 1.2 / math.sqrt(12)), 0.01
_BUILDING = 1.2
_JOINT = {"interleaved": (2.5e-6, 3e-6 / math.sqrt(12)), "butt": (60e-6, 40e-6 / math.sqrt(12))}
_WIRE, _MEAN_TURN = 0.004, 0.010
_LEAD_OUT = 0.08
# What the model of a sine leaves of the rehearsal's distorted supply, and of its network.
_UNEXPLAINED = {
    "ohms": 0.004, "turns": 2e-4, "amps": 0.012, "watts": 0.012,
    "amps_as_found": 0.012, "watts_as_found": 0.012, "low_amps": 0.03, "low_amps_as_found": 0.03,
    "low_watts_as_found": 0.05,
    "regulation": 0.03, "common_ohms": 0.0,
    "source": "bench/rehearsal",
}  # fmt: skip


class _AsTheRehearsalHasIt(AsDrawn):
    """The drawing, with the rehearsal's own steel, joints and scatter."""

    @cached_property
    def core(self) -> MagneticCore | None:
        core = super().core
        assert core is not None, "every job of the population has one"
        assert self.job.supply is not None
        joint, u_joint = _JOINT["butt" if self.job.core.interleave == "butt" else "interleaved"]
        return replace(
            core,
            steel=_steel(self.job.core.steel, self.job.supply.frequency),
            joint=joint,
            u_joint=u_joint,
            building_factor=_BUILDING,
            u_log_building=0.0,
            u_log_area=_AREA,
        )


class _CeilingForward(Forward):
    """Ohms with what leads out at both ends, beside the rest."""

    def __call__(self, variant: Variant) -> Expectation:
        found = super().__call__(variant)
        spans = {name: _led_out(self._drawn, span) for name, span in found.spans.items()}
        return replace(found, spans=spans)


def _led_out(drawn: AsDrawn, span: Span) -> Span:
    winding = drawn.job.get_winding(span.winding)
    sections = drawn.sections[span.winding]
    if span.resistance is None or winding.resistance is not None or any(one.mean_turn is None for one in sections):
        return span
    own = [one for one in sections if one.name == span.name] or list(sections)
    ends = (sections[0] in own) + (sections[-1] in own)
    length = sum(abs(one.turns) * (one.mean_turn or 0.0) for one in own)
    return replace(span, resistance=span.resistance * (1 + ends * _LEAD_OUT / 2 / length))


def ceiling_forward(job: Job) -> Forward:
    """Of a job of the population, with its readings as found or without."""
    rules = ceiling_rules()
    forward = _CeilingForward(job, rules, _AsTheRehearsalHasIt(job, rules["assembly"]))
    forward.design = forward(GOOD)
    return forward


@cache
def ceiling_rules() -> dict[str, Any]:
    """The limits profile with this rehearsal's scatter in the place of life's."""
    rules = rules_named()
    wire = 2 * _WIRE
    assembly = {
        **rules["assembly"],
        "u_log_wire": wire,
        "u_log_mean_turn": _MEAN_TURN,
        "u_log_drop": 0.05,
    }
    return {**rules, "assembly": assembly, "unexplained": _UNEXPLAINED}


@cache
def _steel(name: str, frequency: float) -> Steel:
    own = named_steel(name)
    flux = np.geomspace(1e-3, 2.3, 400)
    field, _ = own.field(flux)
    loss = np.array([own.loss(float(peak), frequency) for peak in flux])
    return Steel(
        name=name,
        density=DENSITY,
        flux_density=flux,
        field=field,
        log_spread=np.full(len(flux), _FIELD),
        loss_flux_density=flux,
        loss=loss,
        loss_frequency=frequency,
        loss_log_spread=_LOSS,
    )
