"""The verdict of a unit, by the first rule that holds."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.result import Finding, NotDone, StepResult, unit_verdict

_A, _R, _U, _T = Verdict.ACCEPTED, Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE


def _step(verdict: Verdict) -> StepResult:
    return StepResult("s", "s", "voltage_ac", "w", 1.0, "good", "V", verdict)


def _finding(fault: str, probability: float) -> Finding:
    return Finding(fault, "w", "", probability, (), "", "")


_REQUIRED = NotDone("insulation:w", "no tester", required=True)
_OPTIONAL = NotDone("frequency", "no", required=False)


@pytest.mark.parametrize(
    ("verdicts", "findings", "not_done", "expected"),
    [
        ([_A, _A], [], [], _A),
        ([_A, _R, _T, _U], [], [_REQUIRED], _R),
        ([_A, _T, _U], [], [_REQUIRED], _T),
        ([_A, _U], [], [_REQUIRED], Verdict.INCOMPLETE),
        ([_A, _U], [], [], _U),
        ([_A], [], [_OPTIONAL], _A),
        ([_A], [("turns_shorted", 0.21)], [], _U),
        ([_A], [("turns_shorted", 0.19)], [], _A),
        ([_A], [("turns_wrong", 0.99)], [], _A),
        ([_R], [("none", 1.0)], [], _R),
        ([_A], [("insulation_low", 0.3)], [], _U),
        ([_A], [("screen_closed", 0.3)], [], _U),
        ([_A], [("turns_wrong+turns_shorted", 0.3)], [], _U),
        ([_A], [("turns_wrong+core_gap", 0.9)], [], _A),
        ([], [], [], Verdict.INCOMPLETE),
    ],
)
def test_the_first_rule_that_holds(
    verdicts: list[Verdict], findings: list[tuple[str, float]], not_done: list[NotDone], expected: Verdict
) -> None:
    steps = tuple(_step(v) for v in verdicts)
    assert unit_verdict(steps, tuple(_finding(*f) for f in findings), tuple(not_done)) is expected
