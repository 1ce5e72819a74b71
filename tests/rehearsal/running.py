"""A rehearsal in its own process, met only through its ports."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any, Self

import serial

from bench.job.profiles import example_job
from tests.warm_start import Started

ROOT = Path(__file__).resolve().parents[2]
START = [sys.executable, "-m", "bench", "rehearse"]


class Running:
    """Starts on entering, is told to quit on leaving."""

    def __init__(self, *options: str) -> None:
        self._options = options
        self._number = 0
        self._open: list[Any] = []

    def __enter__(self) -> Self:
        job = str(example_job("coastal-receiver"))
        self.process = Started("rehearse", job, *self._options, stdout=subprocess.PIPE, cwd=ROOT)
        assert self.process.stdout is not None
        self.said = json.loads(self.process.stdout.readline())
        self.control = self.open(self.said["control"])
        return self

    def __exit__(self, *_: object) -> None:
        for port in self._open:
            port.close()
        self.process.terminate()
        self.process.wait(timeout=5)
        assert self.process.stdout is not None
        self.process.stdout.close()

    def open(self, name: str) -> Any:
        port = serial.serial_for_url(name.split("@")[-1], timeout=3)
        self._open.append(port)
        return port

    def meter(self) -> Any:
        return self.open(self.said["meter"])

    def counter(self) -> Any:
        return self.open(self.said["counter"])

    def ask(self, ask: str, **keys: Any) -> dict[str, Any]:
        self._number += 1
        line = {"id": self._number, "ask": ask, **keys}
        self.control.write((json.dumps(line) + "\n").encode())
        answer: dict[str, Any] = json.loads(self.control.readline())
        assert answer.pop("id") == self._number
        return answer


def query(meter: Any, text: str) -> str:
    meter.write((text + "\n").encode())
    return str(meter.readline().decode().strip())
