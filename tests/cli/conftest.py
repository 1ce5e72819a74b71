"""The command in this process, for what needs no second one."""

from __future__ import annotations

import io
import logging
import signal
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest

from bench.cli import main


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
