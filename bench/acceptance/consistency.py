"""Readings that can't both be true of one unit: the same turns seen at low volts and at nominal."""

from __future__ import annotations

import math
from dataclasses import replace

from bench.acceptance.decision import Verdict
from bench.acceptance.judging import at_fault
from bench.acceptance.result import StepResult
from bench.job.expectation import Expectation

__all__ = ["lay_contradictions_to_the_reading"]

_ALLOWED = 0.005


def lay_contradictions_to_the_reading(
    results: tuple[StepResult, ...], expectation: Expectation, contradicted: dict[str, str]
) -> tuple[StepResult, ...]:
    """Where ratio and open-circuit volts of one winding contradict each other, the reading takes the blame.

    A winding has one number of turns: two readings of it that differ by more than three times their uncertainty, half a
    percent and half a turn besides, can't both be right; the one that fails is no proof against the unit.
    contradicted: windings whose ratio the series sum contradicts, with why.
    """
    by_id = {result.id: result for result in results}
    changed: dict[str, StepResult] = {}
    for result in results:
        if not result.id.startswith("ratio:"):
            continue
        why = contradicted.get(result.winding.partition(".")[0])
        if why is not None and result.verdict in (Verdict.REJECTED, Verdict.UNDECIDED):
            changed[result.id] = at_fault(result, why)
        other = by_id.get(result.id.replace("ratio:", "open_circuit:"))
        if other is None or result.measured is None or other.measured is None:
            continue
        per_volt = abs(expectation.fed_span.turns) / expectation.voltage
        turns, u_turns = other.measured * per_volt, other.u * per_volt
        allowed = 3 * math.hypot(result.u, u_turns) + _ALLOWED * max(turns, result.measured) + 0.5
        if abs(turns - result.measured) > allowed:
            why = (
                f"{result.winding}: {result.measured:.4g} turns at low volts, {turns:.4g} at nominal: one of the two "
                "readings was taken on other terminals or another range"
            )
            sharp = by_id.get(result.id.replace("ratio:", "turns:"), other)
            for one in (result, other, sharp):
                if one.verdict in (Verdict.REJECTED, Verdict.UNDECIDED):
                    changed[one.id] = at_fault(one, why)
    return _counts_settled(tuple(changed.get(result.id, result) for result in results), expectation)


def _counts_settled(results: tuple[StepResult, ...], expectation: Expectation) -> tuple[StepResult, ...]:
    """A count that disagrees with the design is settled where the volts agree with the design: the count is wrong.

    The primary's turns are told by all the others at once.
    """
    by_id = {result.id: result for result in results}

    def told(name: str) -> bool:
        sharp = by_id.get(f"turns:{name}") or by_id.get(f"ratio:{name}")
        return sharp is not None and sharp.verdict is Verdict.ACCEPTED

    others = [span.name for span in expectation.spans.values() if span.whole and span.name != expectation.fed]
    settled = []
    for result in results:
        counted = result.quantity == "turns_counted" and result.verdict is Verdict.UNDECIDED
        by = others if result.winding == expectation.fed else [result.winding]
        if counted and by and all(told(name) for name in by):
            why = (
                f"{result.winding}: {result.measured:g} turns were counted, and the volts agree with the design's "
                f"{result.expected:g}: the count, or the job file that it was made for, is another"
            )
            result = replace(result, verdict=Verdict.NOT_DONE, note=why)
        settled.append(result)
    return tuple(settled)
