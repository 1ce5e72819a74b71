"""A procedure of a few steps, for the one that a test is about."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bench.acceptance.context import Equipment
from bench.acceptance.dry_bench import DryBench
from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.requests import Excite, Request
from bench.acceptance.result import StepResult, TestResult
from bench.job.model import Job
from bench.job.procedure_file import ProcedureFile, Stage
from bench.whole_test import procedure_for, rules_named
from tests.acceptance.ideal_bench import ALL, LOADS, coastal_receiver

REASON = "the steps before are tests of their own"


def short_file(*kinds: str, stage: Stage = Stage.BEFORE_VARNISH) -> ProcedureFile:
    steps = [{"kind": kind} for kind in kinds]
    return ProcedureFile.model_validate({"schema": 1, "name": "short", "stage": str(stage), "step": steps})


def short_procedure(
    *kinds: str,
    stage: Stage = Stage.BEFORE_VARNISH,
    job: Job | None = None,
    before: dict[str, StepResult] | None = None,
    reason: str = REASON,
    rules: dict[str, Any] | None = None,
    **equipment: Any,
) -> Procedure:
    bench = Equipment(**{"quantities": ALL, "series_ohms": 1000.0, "load_resistors": LOADS, **equipment})
    own = rules_named() | (rules or {})
    file = short_file(*kinds, stage=stage)
    return procedure_for(job or coastal_receiver(), bench, own, reason, procedure=file, before=before)


def run_short(procedure: Procedure, **bench: Any) -> tuple[TestResult, DryBench]:
    dry = DryBench(procedure.context.expectation, **bench)
    return dry.run(procedure), dry


def run_answering(procedure: Procedure, answers: Callable[[Request], str | None], **bench: Any) -> TestResult:
    """On a dry bench, but for the requests that `answers` has a text for."""
    dry = DryBench(procedure.context.expectation, **bench)
    request = procedure.start()
    while not isinstance(request, Finished):
        own = answers(request)
        request = procedure.feed(dry.answer(request) if own is None else own)
    return request.result


def step_of(result: TestResult, step: str) -> StepResult:
    return next(one for one in result.steps if one.id == step)


def undone(result: TestResult) -> dict[str, str]:
    return {one.id: one.reason for one in result.not_done}


def mains(seen: list[Request]) -> list[Excite]:
    return [one for one in seen if isinstance(one, Excite) and one.source == "variac" and one.volts > 0]
