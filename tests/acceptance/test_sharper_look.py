"""A ratio that a few volts could not tell is settled by the turns at nominal; nothing else is."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Connect, Take
from bench.acceptance.result import StepResult
from bench.acceptance.sharper_look import settle_by_the_sharper_look
from tests.acceptance.ideal_bench import IdealBench, new_procedure

_A, _R, _U, _T = Verdict.ACCEPTED, Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE


def _look(kind: str, verdict: Verdict, allowed: float, winding: str = "bell") -> StepResult:
    return StepResult(
        f"{kind}:{winding}", "turns", "turns_by_ratio", winding, 158.0, "good", "turns", verdict,
        u=0.1, lower=158 - allowed, upper=158 + allowed, probability=0.999 if kind == "turns" else 0.9,
    )  # fmt: skip


def test_what_lies_within_the_narrower_limits_lies_within_the_wider() -> None:
    rough, sharp = settle_by_the_sharper_look((_look("ratio", _U, 1.58), _look("turns", _A, 1.0)))
    assert (rough.verdict, sharp.verdict) == (_A, _A)
    assert rough.probability == 0.999
    assert "settle" in rough.note


@pytest.mark.parametrize(
    ("rough", "sharp"),
    [(_R, _A), (_T, _A), (_U, _U), (_U, _R), (_U, _T), (_A, _U)],
)
def test_only_an_accepted_sharper_look_settles_and_only_what_was_undecided(rough: Verdict, sharp: Verdict) -> None:
    looks = (_look("ratio", rough, 1.58), _look("turns", sharp, 1.0))
    assert settle_by_the_sharper_look(looks) == looks


def test_wider_limits_or_another_winding_settle_nothing() -> None:
    wider = (_look("ratio", _U, 1.58), _look("turns", _A, 2.0))
    other = (_look("ratio", _U, 1.58), _look("turns", _A, 1.0, "chime"))
    assert settle_by_the_sharper_look(wider) == wider
    assert settle_by_the_sharper_look(other) == other


def test_a_unit_is_not_left_undecided_by_the_look_at_a_few_volts_alone() -> None:
    def doubtful_at_a_few_volts(take: Take, connect: Connect, value: float) -> float:
        few = bench.excited is not None and bench.excited.source == "low voltage"
        bench.u = 3e-3 if few else 2e-4
        return value * 1.004 if few and take.step == "ratio:ht" else value

    procedure = new_procedure()
    bench = IdealBench(procedure.context.expectation, doubtful_at_a_few_volts)
    result = bench.run(procedure)
    rough = {step.id: step for step in result.steps if step.id.startswith("ratio:ht")}
    assert rough["ratio:ht"].verdict is _A
    assert "at a few volts" in rough["ratio:ht"].note
    assert result.verdict is _A
