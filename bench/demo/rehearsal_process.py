"""A rehearsal as a separate process, known only by its ports."""

from __future__ import annotations

import json
import queue
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

__all__ = ["RehearsalFailed", "RehearsalPorts", "RehearsalProcess"]

_PATIENCE = 60.0


class RehearsalFailed(Exception):
    """The rehearsal did not start, or refused what it was given; the text is its own line."""


@dataclass(frozen=True)
class RehearsalPorts:
    """Instruments by address, and the control port."""

    meter: str
    counter: str
    control: str


class RehearsalProcess:
    """Started on entry, ended on exit, whatever happens between."""

    def __init__(self, job: Path, faults: tuple[str, ...], seed: int, speed: float, *, tcp: bool = False) -> None:
        self._command = [
            sys.executable,
            "-m",
            "bench",
            "rehearse",
            str(job),
            "--seed",
            str(seed),
            "--speed",
            str(speed),
        ]
        for fault in faults:
            self._command += ["--fault", fault]
        if tcp:
            self._command.append("--tcp")
        self._process: subprocess.Popen[str] | None = None

    def __enter__(self) -> RehearsalPorts:
        self._process = subprocess.Popen(
            self._command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        line = self._first_line(self._process)
        if not line:
            self._process.kill()
            _, error = self._process.communicate()
            raise RehearsalFailed(error.strip() or "the rehearsal did not start")
        said = json.loads(line)
        return RehearsalPorts(said["meter"], said["counter"], said["control"])

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        assert self._process is not None
        self._process.terminate()
        try:
            self._process.communicate(timeout=10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.communicate()

    def _first_line(self, process: subprocess.Popen[str]) -> str:
        """The line with the ports, or nothing when the process ends or stays silent."""
        assert process.stdout is not None
        lines: queue.Queue[str] = queue.Queue()
        threading.Thread(target=lambda: lines.put(process.stdout.readline()), daemon=True).start()  # type: ignore[union-attr]
        try:
            return lines.get(timeout=_PATIENCE)
        except queue.Empty:
            return ""
