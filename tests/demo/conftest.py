"""Rehearsals start warm here; that a demo starts a cold one too is seen by the test that runs the command so."""

from __future__ import annotations

import pytest

from tests.warm_start.rehearsals import start_rehearsals_warm


@pytest.fixture(autouse=True)
def warm(monkeypatch: pytest.MonkeyPatch) -> None:
    start_rehearsals_warm(monkeypatch)
