"""Has a demo start its rehearsal from the warm process: sixteen demos spent ten seconds on imports alone."""

from __future__ import annotations

import subprocess
import sys
from types import SimpleNamespace
from typing import Any

import pytest

from bench.demo import rehearsal_process
from tests.warm_start.started import Started

__all__ = ["start_rehearsals_warm"]


def start_rehearsals_warm(monkeypatch: pytest.MonkeyPatch) -> None:
    """For one test."""
    names = {name: getattr(subprocess, name) for name in ("DEVNULL", "PIPE", "TimeoutExpired")}
    monkeypatch.setattr(rehearsal_process, "subprocess", SimpleNamespace(Popen=_started, **names))


def _started(command: list[str], **options: Any) -> Started:
    assert command[:4] == [sys.executable, "-m", "bench", "rehearse"]
    return Started(*command[3:], **options)
