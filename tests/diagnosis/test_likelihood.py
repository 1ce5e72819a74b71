"""The joint Gaussian: against its textbook density, and with readings that are off."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.evidence import Evidence, evidence_of
from bench.diagnosis.likelihood import Fit
from bench.diagnosis.prediction import Predicted


def _evidence(values: list[float], u: float = 0.01) -> Evidence:
    """Turns over turns designed."""
    steps = [
        StepResult(
            id=f"turns:w{i}", label="", quantity="", winding=f"w{i}", measured=100 * value, state="good", unit="",
            verdict=Verdict.ACCEPTED, expected=100.0, u=100 * u,
        )
        for i, value in enumerate(values)
    ]  # fmt: skip
    return evidence_of(tuple(steps))


def _fit(values: list[float], own: float = 0.02, common: float = 0.03) -> Fit:
    n = len(values)
    return Fit(_evidence(values), Predicted(np.ones(n), own**2 * np.eye(n) + common**2))


@pytest.fixture(scope="module")
def textbook() -> Any:
    from scipy.stats import multivariate_normal  # slow to come up: whoever collects the tests has no need of it

    return multivariate_normal


@given(values=st.lists(st.floats(0.8, 1.2), min_size=1, max_size=6))
def test_the_density_is_that_of_the_textbook(textbook: Any, values: list[float]) -> None:
    fit, n = _fit(values), len(values)
    covariance = (0.01**2 + 0.02**2) * np.eye(n) + 0.03**2
    reference = textbook(np.ones(n), covariance).logpdf(values)
    assert fit.log_density == pytest.approx(reference + n / 2 * math.log(2 * math.pi), rel=1e-6, abs=1e-6)


@given(st.lists(st.floats(0.8, 1.2), min_size=2, max_size=6), st.integers(0, 1))
def test_one_reading_that_is_off_is_a_wider_gaussian_along_it(values: list[float], row: int) -> None:
    n = len(values)
    pattern = np.zeros(n)
    pattern[row] = 0.5
    fit = _fit(values)
    wider = Fit(fit.evidence, Predicted(np.ones(n), fit.predicted.covariance + np.outer(pattern, pattern)))
    assert fit.with_one_off(pattern) == pytest.approx(wider.log_density, rel=1e-6, abs=1e-6)


def test_what_all_share_is_no_misfit_and_what_one_has_alone_is() -> None:
    together, alone = _fit([1.03] * 4), _fit([1.0, 1.0, 1.0, 1.12])
    assert together.misfit < 2
    assert alone.misfit > 15


def test_readings_that_fit_nothing_are_better_explained_by_several_that_are_off() -> None:
    wild = _fit([1.0, 1.6, 0.4, 1.0, 1.9])
    score, count = wild.with_several_off()
    assert score > wild.log_density + 100
    assert count == 3
    good = _fit([1.0, 1.01, 0.99, 1.0, 1.0])
    assert good.with_several_off()[0] < good.log_density
