"""A dry bench for tests: a job, a procedure, and a whole test on it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from bench.acceptance.context import Equipment, Wound
from bench.acceptance.dry_bench import DryBench
from bench.acceptance.procedure import Procedure
from bench.acceptance.result import TestResult
from bench.job.bench_file import LoadResistor
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.whole_test import procedure_for, rules_named
from drivers.reading import Quantity

ALL = frozenset(
    {Quantity.VOLTAGE_AC, Quantity.CURRENT_AC, Quantity.RESISTANCE, Quantity.RESISTANCE_4W, Quantity.FREQUENCY}
)

LOADS = tuple(
    LoadResistor.model_validate({"resistance": ohms, "power": power, "tolerance": 0.05})
    for ohms, power in (("8.2 kohm", "50 W"), ("2.2 ohm", "50 W"), ("2.7 ohm", "25 W"))
)
"""What loads each winding of the coastal receiver nearly as rated."""

IdealBench = DryBench


@lru_cache(maxsize=1)
def coastal_receiver() -> Job:
    return read_job(example_job("coastal-receiver"))


def new_procedure(job: Job | None = None, wound: Mapping[str, Wound] | None = None, **equipment: Any) -> Procedure:
    given = {"quantities": ALL, "series_ohms": 1000.0, "load_resistors": LOADS, **equipment}
    return procedure_for(job or coastal_receiver(), Equipment(**given), rules_named(), wound=wound)


def run_ideal(
    job: Job | None = None, equipment: dict[str, Any] | None = None, **bench: Any
) -> tuple[TestResult, DryBench]:
    """A whole test on an ideal bench, with its result and what was asked."""
    procedure = new_procedure(job, **(equipment or {}))
    ideal = DryBench(procedure.context.expectation, **bench)
    return ideal.run(procedure), ideal
