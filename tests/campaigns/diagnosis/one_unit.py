"""One unit through the real procedure with one meter, and what the diagnosis makes of its readings."""

from __future__ import annotations

import pickle
import time
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from bench.acceptance.result import StepResult, TestResult
from bench.acceptance.session import TestSession
from bench.design.forward import Forward
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.hypothesis import Hypothesis
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.whole_test import equipment_of, procedure_for, rules_named
from tests.campaigns.decisions.conformity import SERIES_OHMS
from tests.campaigns.decisions.meters import ClassMeter
from tests.campaigns.decisions.one_solution import Leads, SharedBench, shared_bench
from tests.campaigns.decisions.one_unit import forward_of
from tests.campaigns.decisions.operator import HandOperator
from tests.campaigns.decisions.population import job_named
from tests.campaigns.decisions.time_at_the_bench import BenchTime
from tests.campaigns.diagnosis.as_found import job_as_found
from tests.campaigns.diagnosis.beyond import POPULATIONS
from tests.campaigns.diagnosis.ceiling import ceiling_forward, ceiling_rules
from tests.campaigns.diagnosis.population import CONTACTS, Diagnosed, alike, priors

__all__ = [
    "BENCHES",
    "CEILING_EVERY",
    "Named",
    "Outcome",
    "as_designed",
    "diagnose",
    "diagnosis_of_pair",
    "kept_or_tested",
    "named_of",
    "run_unit",
    "tested",
]

CEILING_EVERY = 4
"""Of the units, one in so many is also named with the rehearsal's formulas: that takes as long again."""

BENCHES = {
    "watts": {"schema": 1, "resistor": {"resistance": f"{SERIES_OHMS:g} ohm", "tolerance": 0.01}},
    "plain": {"schema": 1},
}
"""A bench that reads watts by three voltages across its resistor, and one that has a meter and a lamp."""


@dataclass(frozen=True)
class Named:
    """A fault at a place, all its sizes together, with its probability."""

    fault: str
    winding: str
    size: str
    probability: float


@dataclass(frozen=True)
class Outcome:
    """One unit with one meter on one bench: what is true, what was named, most probable first, and how long it took.

    ceiling: what the same classifier names when it is given the rehearsal's formulas and scatter.
    """

    seed: int
    name: str
    found_first: bool
    meter: str
    bench: str
    fault: str
    winding: str
    size: str
    verdict: str
    named: tuple[Named, ...]
    seconds: float
    ceiling: tuple[Named, ...] = ()


def run_unit(
    seed: int, where: list[tuple[str, str]], kept: Path | None = None, population: str = "frozen"
) -> list[Outcome]:
    """The unit of a seed, of a population, with a meter of each class on each bench.

    kept: folder of results that an earlier run left there, which are taken as they are; others are added to it.
    """
    one = POPULATIONS[population](seed)
    bench = shared_bench(one.unit)
    return [
        diagnose(one, meter, name, kept_or_tested(one, meter, name, bench, kept, population)) for meter, name in where
    ]


def kept_or_tested(
    one: Diagnosed, meter_class: str, bench_name: str, bench: SharedBench, kept: Path | None, population: str
) -> TestResult:
    """The result of an earlier run, where there is one."""
    if kept is None:
        return tested(one, meter_class, bench_name, bench)
    path = kept / f"{population}-{one.unit.seed}-{meter_class}-{bench_name}.pickle"
    if path.exists():
        result: TestResult = pickle.loads(path.read_bytes())
        return result
    result = tested(one, meter_class, bench_name, bench)
    path.write_bytes(pickle.dumps(result))
    return result


def tested(one: Diagnosed, meter_class: str, bench_name: str, bench: SharedBench) -> TestResult:
    """The procedure before varnish, by the rehearsal's hand."""
    unit = one.unit
    job, forward = as_designed(one, meter_class)
    bench.begin_anew()
    clock, leads = BenchTime(), Leads(bench, unit.seed)
    meter = ClassMeter(meter_class, leads, unit.seed, clock)
    operator = HandOperator(unit, bench, leads, clock)
    equipment = equipment_of(job, BenchFile.model_validate(BENCHES[bench_name]), meter)
    procedure = procedure_for(job, equipment, _rules(), forward=forward)
    return TestSession(procedure, operator, meter, lambda kind, body: None).run()


def diagnose(one: Diagnosed, meter_class: str, bench_name: str, result: TestResult) -> Outcome:
    """What the readings say: the diagnosis is given the job and the steps, nothing of the rehearsal."""
    job, forward = as_designed(one, meter_class)
    named, seconds = weighed(one.unit.name, job, result.steps, forward, _rules())
    best: tuple[Named, ...] = ()
    if one.unit.seed % CEILING_EVERY == 0:
        best, _ = weighed(one.unit.name, job, result.steps, _at_the_ceiling(one, meter_class), ceiling_rules())
    return Outcome(
        one.unit.seed, one.unit.name, one.found_first, meter_class, bench_name, one.fault, one.winding, one.size,
        str(result.verdict), named, seconds, best,
    )  # fmt: skip


def weighed(
    name: str, job: Job, steps: tuple[StepResult, ...], forward: Forward, rules: dict[str, Any]
) -> tuple[tuple[Named, ...], float]:
    """Faults by falling probability, sizes added up; and the seconds of processor time that it took.

    Priors (of the job by its name) and contacts are this population's, not those of life.
    """
    begin = time.process_time()
    posterior = _of_this_population(name, job, rules, forward).posterior(steps)
    return named_of(posterior), time.process_time() - begin


def diagnosis_of_pair(one: Diagnosed, meter_class: str) -> Diagnosis:
    """As the program would make it, where all faults are met alike."""
    job, forward = as_designed(one, meter_class)
    return Diagnosis(job, {**_rules(), "priors": alike(), "contacts": CONTACTS}, forward)


def _of_this_population(name: str, job: Job, rules: dict[str, Any], forward: Forward) -> Diagnosis:
    return Diagnosis(job, {**rules, "priors": priors(name), "contacts": CONTACTS}, forward)


def named_of(posterior: list[tuple[Hypothesis, float]]) -> tuple[Named, ...]:
    """Faults by falling probability, sizes added up."""
    groups: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for hypothesis, probability in posterior:
        groups.setdefault((hypothesis.fault, hypothesis.winding), []).append((hypothesis.size, probability))
    named = [
        Named(fault, winding, max(sizes, key=lambda size: size[1])[0], sum(share for _, share in sizes))
        for (fault, winding), sizes in groups.items()
    ]
    return tuple(sorted(named, key=lambda found: -found.probability))


def as_designed(one: Diagnosed, meter_class: str) -> tuple[Job, Forward]:
    """The job of a unit, with its core's curve as found where that was read; most units of one job share a forward."""
    if not one.found_first:
        return one.unit.job, forward_of(one.unit.name)
    return _forward_as_found(one.unit.name, one.unit.seed, meter_class)


@lru_cache(maxsize=4)
def _forward_as_found(name: str, seed: int, meter_class: str) -> tuple[Job, Forward]:
    job = job_as_found(name, seed, meter_class)
    return job, Forward(job, _rules())


@lru_cache(maxsize=16)
def _ceiling_of_job(name: str) -> Forward:
    return ceiling_forward(job_named(name))


def _at_the_ceiling(one: Diagnosed, meter_class: str) -> Forward:
    if not one.found_first:
        return _ceiling_of_job(one.unit.name)
    return ceiling_forward(job_as_found(one.unit.name, one.unit.seed, meter_class))


@cache
def _rules() -> dict[str, Any]:
    return rules_named()
