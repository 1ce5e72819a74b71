"""One unit through the real procedure, once with each class of meter: what was decided, beside what is true."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.result import StepResult, TestResult
from bench.acceptance.session import TestSession
from bench.design.forward import Forward
from bench.job.bench_file import BenchFile
from bench.whole_test import equipment_of, procedure_for, rules_named
from tests.campaigns.decisions.conformity import SERIES_OHMS, Judged, judged_quantities
from tests.campaigns.decisions.meters import ClassMeter
from tests.campaigns.decisions.one_solution import Leads, SharedBench, shared_bench
from tests.campaigns.decisions.operator import HandOperator
from tests.campaigns.decisions.population import Drawn, draw, job_named
from tests.campaigns.decisions.time_at_the_bench import BenchTime
from tests.campaigns.decisions.truth import PerfectBench

__all__ = ["Decided", "Outcome", "forward_of", "kind_of", "run_unit"]

_BENCH = {"schema": 1, "resistor": {"resistance": f"{SERIES_OHMS:g} ohm", "tolerance": 0.01}}
_DECIDES = (Verdict.REJECTED, Verdict.TROUBLE, Verdict.UNDECIDED)
_SAME_LIMIT = 1e-6


@dataclass(frozen=True)
class Decided:
    """One step's decision; conforms: of its own quantity, None where this campaign knows no truth of it.

    off: true value less measured one, in expanded uncertainties U = 2 u, both at the volts that were there; None where
    there is no number.
    continuity: the step said that its meter can't judge the quantity, only that the winding conducts.
    own_limits: whether the step judged against other limits than the rules give.
    """

    step: str
    verdict: Verdict
    conforms: bool | None
    off: float | None
    continuity: bool
    own_limits: bool


@dataclass(frozen=True)
class Outcome:
    """One unit with one meter.

    nonconforming: what is truly out of its limits;  on_limit: whether a quantity lies exactly on one;  by, why: the
    first step that made the verdict what it is, by kind and in its own words.
    """

    seed: int
    name: str
    meter: str
    put_in: tuple[str, ...]
    nonconforming: tuple[Judged, ...]
    verdict: Verdict
    by: str
    why: str
    decided: tuple[Decided, ...]
    on_limit: bool = False

    @property
    def conforms(self) -> bool:
        return not self.nonconforming

    @property
    def untold(self) -> bool:
        """Whether all that is out of its limits was said to be read for continuity only."""
        told = {step.step for step in self.decided if not step.continuity}
        return not any(one.step in told for one in self.nonconforming)


def run_unit(seed: int, classes: tuple[str, ...]) -> list[Outcome]:
    """The unit of a seed with a meter of each class."""
    unit, rules = draw(seed), _rules()
    design = forward_of(unit.name).design
    perfect = PerfectBench(unit, design)
    judged = judged_quantities(perfect, design, rules)
    bench = shared_bench(unit)
    return [_outcome(unit, name, judged, perfect, _tested(unit, bench, name)) for name in classes]


@cache
def _rules() -> dict[str, Any]:
    return rules_named()


@cache
def forward_of(name: str) -> Forward:
    """Expected readings of a job's variants, worked out once for all its units: they know nothing of any of them."""
    return Forward(job_named(name), _rules())


def kind_of(step: str) -> str:
    """What a step judges, without its winding: `resistance` of `resistance:ht.centre`."""
    return step.partition(":")[0]


def _tested(unit: Drawn, bench: SharedBench, name: str) -> TestResult:
    bench.begin_anew()
    time, leads = BenchTime(), Leads(bench, unit.seed)
    meter = ClassMeter(name, leads, unit.seed, time)
    operator = HandOperator(unit, bench, leads, time)
    equipment = equipment_of(unit.job, BenchFile.model_validate(_BENCH), meter)
    procedure = procedure_for(unit.job, equipment, _rules(), forward=forward_of(unit.name))
    return TestSession(procedure, operator, meter, lambda kind, body: None).run()


def _outcome(unit: Drawn, meter: str, judged: dict[str, Judged], perfect: PerfectBench, result: TestResult) -> Outcome:
    by, why = _deciding(result)
    return Outcome(
        seed=unit.seed,
        name=unit.name,
        meter=meter,
        put_in=unit.put_in,
        nonconforming=tuple(one for one in judged.values() if not one.conforms),
        verdict=result.verdict,
        by=by,
        why=why,
        decided=tuple(_decided(step, judged.get(step.id), perfect) for step in result.steps),
        on_limit=any(one.on_limit for one in judged.values()),
    )


def _deciding(result: TestResult) -> tuple[str, str]:
    """The first step that made the verdict what it is, with its own words; a finding, or a step not done."""
    for verdict in _DECIDES:
        if result.verdict is verdict:
            for step in result.steps:
                if step.verdict is verdict:
                    return kind_of(step.id), f"{step.id}: {step.note}"
            finding = result.findings[0]
            return f"finding {finding.fault}", f"{finding.probability:.0%} {finding.fault} {finding.winding}"
    if result.verdict is Verdict.INCOMPLETE:
        first = next(one for one in result.not_done if one.required)
        return f"not done: {kind_of(first.id)}", f"{first.id}: {first.reason}"
    return "", ""


def _decided(step: StepResult, judged: Judged | None, perfect: PerfectBench) -> Decided:
    continuity = "continuity only" in step.note
    off, own_limits = None, False
    if judged is not None and step.measured is not None and not continuity:
        own_limits = not _same_limits(step, judged)
        if step.u > 0:
            off = (_true_then(step, judged, perfect) - step.measured) / (COVERAGE * step.u)
    return Decided(
        step=step.id,
        verdict=step.verdict,
        conforms=None if judged is None else judged.conforms,
        off=off,
        continuity=continuity,
        own_limits=own_limits,
    )


def _true_then(step: StepResult, judged: Judged, perfect: PerfectBench) -> float:
    """The true value at the volts that the step found; the dial of a variac tells them to a few per cent only."""
    if step.at_volts is not None and kind_of(step.id) == "exciting":
        return perfect.exciting(step.at_volts / perfect.nominal)
    if step.at_volts is not None and kind_of(step.id) == "core_watts":
        return perfect.watts_at(step.at_volts, SERIES_OHMS, _rules()["core_watts"]["at"])
    return judged.true


def _same_limits(step: StepResult, judged: Judged) -> bool:
    """Whether the step judged against the rules' limits; those of a curve go with the volts and are left out."""
    if kind_of(step.id) in ("exciting", "core_watts"):
        return step.lower is None and step.upper is not None
    return _same(step.lower, judged.lower) and _same(step.upper, judged.upper)


def _same(mine: float | None, theirs: float) -> bool:
    if mine is None or math.isinf(theirs):
        return mine is None and math.isinf(theirs)
    return abs(mine - theirs) <= _SAME_LIMIT * max(abs(mine), abs(theirs))
