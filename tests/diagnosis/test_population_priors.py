"""The campaign's population is met as often as its priors say, job by job."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.campaigns.decisions.population import JOBS
from tests.campaigns.diagnosis.population import draw_one, priors

DRAWN = 1500


@pytest.fixture(scope="module")
def met() -> Counter[tuple[str, str]]:
    # Seeds of no campaign: what is drawn for it stays unseen here.
    return Counter((one.unit.name, one.fault) for one in (draw_one(seed) for seed in range(500_000, 500_000 + DRAWN)))


@pytest.mark.parametrize("name", JOBS)
def test_each_job_has_its_faults_as_often_as_its_priors_say(name: str, met: Counter[tuple[str, str]]) -> None:
    told = priors(name)
    assert {fault for job, fault in met if job == name} <= told.keys()
    for fault in told.keys() - {"unknown"}:
        due = DRAWN * told[fault]
        # Four standard deviations of a count: once in some thousands by chance, and the seeds are fixed.
        assert abs(met[name, fault] - due) <= 4 * due**0.5 + 1, fault


def test_all_jobs_together_are_the_whole_population() -> None:
    assert sum(sum(priors(name).values()) for name in JOBS) == pytest.approx(1.005)


def test_a_job_beside_the_population_has_the_faults_that_it_can_have() -> None:
    told = priors("screened")
    assert {"screen_closed", "turns_shorted"} <= told.keys()
    assert "strand_open" not in told
