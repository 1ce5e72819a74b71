"""Readings as they are weighed together: what they share, and what is left out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.evidence import Kind, evidence_of
from drivers.reading import Component


def _step(id: str, measured: float | None, u: float, *parts: Component, **more: object) -> StepResult:
    fields: dict = {"expected": measured, "winding": id.partition(":")[2], "at_volts": 100.0} | more
    return StepResult(
        id=id, label=id, quantity="", measured=measured, state="good", unit="",
        verdict=fields.pop("verdict", Verdict.ACCEPTED), u=u, components=parts, **fields,
    )  # fmt: skip


def test_two_ratios_against_one_reading_of_the_primary_share_its_error() -> None:
    gain = Component("meter:gain", 1.0, -2.0)
    steps = (
        _step("ratio:a", 100.0, 2.5, gain, Component("a:noise", 1.5)),
        _step("ratio:b", 50.0, math.hypot(1.0, 0.5), Component("meter:gain", 1.0, -1.0), Component("b:noise", 0.5)),
    )
    found = evidence_of(steps)
    assert found.values == pytest.approx([1.0, 1.0])
    assert found.covariance == pytest.approx(
        np.array([[(4.0 + 2.25) / 100**2, 2.0 / 5000], [2.0 / 5000, 1.25 / 50**2]])
    )


def test_a_doubt_whose_parts_were_not_kept_is_the_reading_s_own() -> None:
    (variance,) = np.diag(evidence_of((_step("resistance:a", 10.0, 0.2),)).covariance)
    assert variance == pytest.approx(0.02**2)


def test_what_was_laid_to_the_reading_itself_is_no_evidence() -> None:
    assert len(evidence_of((_step("resistance:a", 10.0, 0.2, verdict=Verdict.TROUBLE),))) == 0


def test_an_older_record_s_volts_stand_where_no_turns_at_nominal_do() -> None:
    volts = _step("open_circuit:a", 6.3, 0.01)
    assert [one.kind for one in evidence_of((volts,)).observed] == [Kind.TURNS]
    assert [one.step.id for one in evidence_of((volts, _step("turns:a", 19.0, 0.05))).observed] == ["turns:a"]


def test_open_and_overload_are_no_numbers() -> None:
    assert len(evidence_of((_step("resistance:a", None, 0.0), _step("exciting:50", 0.0, 0.0)))) == 0
