"""Jobs, benches and running rehearsals that the tests share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from tests.rehearsal.running import Running


@pytest.fixture(scope="session")
def coastal() -> Job:
    return read_job(example_job("coastal-receiver"))


@pytest.fixture(scope="session")
def gate() -> Job:
    return read_job(example_job("gate-opener"))


@pytest.fixture
def running() -> Iterator[Running]:
    with Running("--speed", "20", "--seed", "4") as process:
        yield process


@pytest.fixture
def running_tcp() -> Iterator[Running]:
    with Running("--speed", "20", "--seed", "4", "--tcp") as process:
        yield process
