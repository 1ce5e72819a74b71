"""Volts a turn of the core's flux under a hypothesis, against those that the design foretells."""

from __future__ import annotations

from bench.diagnosis.hypothesis import Hypothesis
from bench.job.expectation import Expectation

__all__ = ["backfed_share", "drop_ratio", "fed_turns", "flux_share"]

_NO_TURNS = 0.01


def fed_turns(hypothesis: Hypothesis, model: Expectation) -> float:
    """Turns of the primary that the core's flux passes.

    A shorted turn of the primary is missing in its volts; its loop's drop in the primary is in the model's watts, and
    while the primary itself is fed the two cancel, each being r/(r + contact) of a turn's volts (by Kirchhoff's laws).
    """
    return abs(model.fed_span.turns) - hypothesis.fed_lost


def drop_ratio(model: Expectation, design: Expectation, volts: float) -> float:
    """What is left of the volts [V] on the primary behind its own drop, over what the design leaves."""
    same = model.curve is design.curve and model.fed_span.resistance == design.fed_span.resistance
    if same or model.curve is None:
        return 1.0
    return (1 - model.drop(volts)) / (1 - design.drop(volts))


def flux_share(hypothesis: Hypothesis, model: Expectation, design: Expectation, volts: float) -> float:
    """Volts a turn over the design's, with so many volts [V] on the primary: what a search coil shows."""
    return design.design_fed_turns / fed_turns(hypothesis, model) * drop_ratio(model, design, volts)


def backfed_share(hypothesis: Hypothesis, model: Expectation, design: Expectation, one: str, other: str) -> float:
    """Turns of one winding over another's, over what the design has, where a third is fed and neither is loaded."""

    def turns(name: str) -> float:
        return fed_turns(hypothesis, model) if name == model.fed else abs(model.spans[name].turns)

    drawn = abs(design.spans[one].turns / design.spans[other].turns)
    # Halves that oppose each other leave no volts to compare with.
    return turns(one) / max(turns(other), _NO_TURNS) / drawn
