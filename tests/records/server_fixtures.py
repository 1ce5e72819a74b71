"""A records server for the tests that want one; imported into the conftest of their folder."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest

from tests.records.postgres import Cluster, cluster

__all__ = ["records_server", "records_url", "running_cluster"]

_numbers = itertools.count(1)


@pytest.fixture(scope="session")
def running_cluster() -> Iterator[Cluster]:
    with cluster() as server:
        yield server


@pytest.fixture
def records_server(running_cluster: Cluster, monkeypatch: pytest.MonkeyPatch) -> Cluster:
    """A server that has been asked nothing yet; its password stands in the environment, as a user would have it."""
    monkeypatch.setenv("PGPASSWORD", running_cluster.password)
    return running_cluster


@pytest.fixture
def records_url(records_server: Cluster) -> str:
    """URL of an empty database."""
    return records_server.make(f"workshop_{next(_numbers)}")
