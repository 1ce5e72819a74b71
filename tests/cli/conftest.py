"""The command in this process, for what needs no second one."""

from __future__ import annotations

import io
import logging
import signal
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from bench.cli import main
from tests.cli.running import written
from tests.cli.surveying import EMPTY, uncounted
from tests.records.server_fixtures import records_server, records_url, running_cluster

__all__ = ["records_server", "records_url", "running_cluster"]


@dataclass(frozen=True)
class Ended:
    status: int
    out: str
    error: str


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Iterator[Callable[..., Ended]]:
    """`run("check", "job.toml", typed="...")`; leaves the log and the signals of the tests as they were."""
    handlers = list(logging.getLogger().handlers)
    signals = [(number, signal.getsignal(number)) for number in (signal.SIGTERM, signal.SIGHUP)]

    def go(*arguments: str, typed: str = "") -> Ended:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        with pytest.raises(SystemExit) as ended:
            main(list(arguments))
        said = capsys.readouterr()
        return Ended(int(ended.value.code or 0), said.out, said.err)

    yield go
    for handler in set(logging.getLogger().handlers) - set(handlers):
        logging.getLogger().removeHandler(handler)
        handler.close()
    for number, before in signals:
        signal.signal(number, before)


@pytest.fixture
def empty(tmp_path: Path) -> str:
    return written(tmp_path / "empty.toml", EMPTY)


@pytest.fixture
def gate(tmp_path: Path) -> str:
    return uncounted("gate-opener", tmp_path)


@pytest.fixture
def coastal(tmp_path: Path) -> str:
    return uncounted("coastal-receiver", tmp_path)
