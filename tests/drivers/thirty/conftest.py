"""A bench for each test, that ends with it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from .scripted_bench import Bench


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    made = Bench(tmp_path)
    yield made
    made.close()
    assert [each.name for each in threading.enumerate() if each.name.startswith("peer ")] == []
