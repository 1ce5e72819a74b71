"""One forward model a job: what a test worked out is there for the next."""

from __future__ import annotations

from bench.design import forward
from bench.design.forward import forward_for
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import coastal_receiver


def test_an_equal_job_has_the_same_one_and_another_job_or_rule_another() -> None:
    job, rules = coastal_receiver(), rules_named()
    first = forward_for(job, rules)
    assert forward_for(job.model_copy(deep=True), dict(rules)) is first
    assert job.supply is not None
    supply = job.supply.model_copy(update={"voltage": job.supply.voltage + 1.0})
    other = forward_for(job.model_copy(update={"supply": supply}), rules)
    assert other.design.voltage == first.design.voltage + 1.0
    assert forward_for(job, {**rules, "changed": 1}) is not first


def test_only_the_last_few_are_kept() -> None:
    for number in range(6):
        forward_for(coastal_receiver(), {**rules_named(), "number": number})
    assert len(forward._of_job) == 4
