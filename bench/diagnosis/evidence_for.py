"""What speaks for a hypothesis and what against it, reading by reading, in words."""

from __future__ import annotations

import numpy as np

from bench.acceptance.report import value_text
from bench.acceptance.result import StepResult
from bench.diagnosis.likelihood import Fit

__all__ = ["speaks_against", "speaks_for", "told"]

_NOTICED = 1.5
_MOST = 6


def speaks_for(fit: Fit, good: Fit) -> list[str]:
    """Readings that lie far from what a good unit would give and near what this one would, the clearest first.

    fit, good: of the same readings, under the hypothesis and under none.
    """
    here, there = _distances(fit), _distances(good)
    order = np.argsort(here - there)
    return [
        told(fit.evidence.observed[row].step)
        for row in order[:_MOST]
        if there[row] > _NOTICED and here[row] < there[row] - 0.5
    ]


def speaks_against(fit: Fit) -> list[str]:
    """Readings that even the hypothesis does not foretell, in units of their doubt."""
    here = _distances(fit)
    return [
        f"{told(fit.evidence.observed[row].step)} ({here[row]:.1f} of its doubts off)"
        for row in np.argsort(-here)[:3]
        if here[row] > 2.0
    ]


def _distances(fit: Fit) -> np.ndarray:
    """Of each reading from what is foretold, in its own standard deviations."""
    spread = np.sqrt(np.diag(fit.evidence.covariance + fit.predicted.covariance))
    return np.asarray(np.abs(fit.residuals) / spread)


def told(step: StepResult) -> str:
    """A reading against its design, in words."""
    if step.measured is None:
        return f"{step.label}: {step.note or step.state}"
    against = "" if step.expected is None else f", design {value_text(step.expected, step.unit)}"
    return f"{step.label}: {value_text(step.measured, step.unit)}{against}"
