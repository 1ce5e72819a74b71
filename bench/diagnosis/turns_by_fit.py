"""How many turns a winding is off by all readings together, if it alone is off."""

from __future__ import annotations

import math
from collections.abc import Callable

from bench.diagnosis.evidence import Evidence
from bench.diagnosis.hypothesis import Hypothesis
from bench.diagnosis.likelihood import Fit
from bench.diagnosis.prediction import Predictor
from bench.job.expectation import Expectation, Variant

__all__ = ["TurnsByFit"]

_ROUNDS = 2
_MOST_OFF = 0.5
"""Of its turns: beyond that a line through the design's readings tells nothing."""


class TurnsByFit:
    """Called with the name of a winding or section: turns off, and their standard uncertainty; None where no reading
    tells.

    One reading of a winding has the whole gain of its range for a doubt; all of them together know the gain, since the
    other windings were read with the same error.  Gauss-Newton on the readings as weighed: generalised least squares
    (JCGM 102:2011, 5.2) of one number of turns, from the design on.
    """

    def __init__(self, evidence: Evidence, predictor: Predictor, forward: Callable[[Variant], Expectation]) -> None:
        self._evidence, self._predictor, self._forward = evidence, predictor, forward

    def __call__(self, name: str) -> tuple[float, float] | None:
        if not len(self._evidence):
            return None
        turns = abs(self._forward(Variant()).spans[name].turns)
        off, doubt = 0.0, math.inf
        for _ in range(_ROUNDS):
            # The curve of a fed winding is worked out for whole turns, which are weighed anyhow.
            here = round(off)
            fit = self._fit(name, here)
            pattern = self._fit(name, here + 1).predicted.values - fit.predicted.values
            told, information = fit.slope(pattern)
            if information <= 0:
                return None
            off, doubt = here + told / information, 1 / math.sqrt(information)
            if not abs(off) < _MOST_OFF * turns:
                return None
        return off, doubt

    def _fit(self, name: str, off: int) -> Fit:
        variant = Variant(turns_added={name: off} if off else {})
        predicted = self._predictor.predict(Hypothesis("turns_wrong", name, variant=variant), self._forward(variant))
        return Fit(self._evidence, predicted)
