"""What the readings of a test do not exclude of a shorted turn, said once in its result."""

from __future__ import annotations

import math

from bench.acceptance.context import Context
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.result import NotDone, StepResult
from bench.acceptance.suspicion import SHORTED, Suspicion, probability_of
from bench.job.procedure_file import Stage
from bench.quantities import show

__all__ = ["SHORTED_NOT_EXCLUDED", "closed_turns", "not_excluded"]

_ID = "shorted_turn"
SHORTED_NOT_EXCLUDED = "shorted turn not excluded"
"""The words that stand in a result, once."""


def closed_turns(context: Context) -> dict[str, float]:
    """Ohms of one turn of each winding, closed by nothing, and of each screen."""
    loops = {}
    for winding in context.job.winding:
        ohms = context.expectation.spans[winding.name].resistance
        if ohms is not None and math.isfinite(ohms) and winding.turns:
            # One strand is bared and touches itself: one turn of one wire in hand.
            loops[winding.name] = ohms * winding.strands / winding.turns
    return {**loops, **context.expectation.screen_ohms}


def not_excluded(
    context: Context, steps: tuple[StepResult, ...], suspicions: tuple[Suspicion, ...], least: float, most: float
) -> NotDone | None:
    """That a shorted turn or a closed screen is not excluded, and down to which watts it is.

    None where the watts of the core were read and leave it no more probable than `least`, where it is a finding, more
    probable than `most`, where the unit is not by itself, and where a step that was not done says so already.
    """
    probability = probability_of(suspicions, SHORTED)
    said = any(SHORTED_NOT_EXCLUDED in one.reason for one in context.not_done)
    if said or context.stage is Stage.IN_EQUIPMENT or probability > most:
        return None
    watts = next((one for one in steps if one.id == "core_watts"), None)
    if watts is None or watts.measured is None or watts.verdict is Verdict.TROUBLE:
        return NotDone(_ID, f"{SHORTED_NOT_EXCLUDED}: the watts of the core were not read near nominal", required=False)
    if probability <= least:
        return None
    told = f"{SHORTED_NOT_EXCLUDED} ({probability:.1%} probable by all readings)"
    return NotDone(_ID, "; ".join((told, *_down_to(context, watts))), required=False)


def _down_to(context: Context, watts: StepResult) -> tuple[str, ...]:
    """The most that one may take at nominal beside a core of so few watts as the design bears, and which may."""
    curve, nominal = context.expectation.curve, context.expectation.voltage
    if curve is None or not watts.at_volts or watts.measured is None:
        return ()
    volts = watts.at_volts
    least_core = curve.watts_at(volts) * math.exp(-COVERAGE * curve.u_log_watts_at(volts))
    room = watts.measured + COVERAGE * watts.u - least_core
    if room <= 0:
        return ()
    at_nominal = room * (nominal / volts) ** 2
    turn = nominal / abs(context.expectation.fed_span.turns)
    ohms = turn**2 / at_nominal
    hidden = [name for name, loop in closed_turns(context).items() if loop > ohms]
    excluded = f"excluded is one that takes more than {show(at_nominal, 'W', 2)} at {show(nominal, 'V', 3)}"
    excluded += f", a closed turn of less than {show(ohms, 'ohm', 2)} with its contact"
    return (excluded, f"even dead, a turn of {', '.join(hidden)} has more") if hidden else (excluded,)
