"""`python -m tests.campaigns latency`: from an edge of the spindle to the count that shows it, and what that costs."""

from __future__ import annotations

import argparse
import json
import os
import select
import subprocess
import sys
import tempfile
import time
import tty
from pathlib import Path
from typing import Any

from bench.job.profiles import example_job
from drivers.countline import check_sum

__all__ = ["add_to"]

_PER = 8
_TICK_S = 0.010
_WARM_UP_S = 2.0


def add_to(commands: Any) -> None:
    parser = commands.add_parser("latency", help=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--rpm", type=float, default=3000.0)
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """`turnproof wind --json` on a pseudo-terminal on which a board sends a line each 10 ms, as ours does.

    Status 1 where the 99th percentile is over 33 ms.
    """
    late, share, lines = measure(arguments.seconds, arguments.rpm)
    late.sort()
    median, most = late[len(late) // 2] * 1e3, late[int(0.99 * len(late))] * 1e3
    print(
        f"{arguments.rpm:g} rpm, {lines} lines, {len(late)} edges: edge to shown count median {median:.1f} ms, "
        f"99th percentile {most:.1f} ms; CPU share {100 * share:.0f} % of one core"
    )
    return 1 if most > 33.0 else 0


def measure(seconds: float, rpm: float) -> tuple[list[float], float, int]:
    """For each edge the time until a count that holds it was written out [s];  CPU share;  lines sent."""
    master, slave = os.openpty()
    tty.setraw(slave)
    with tempfile.TemporaryDirectory() as home:
        job = example_job("coastal-receiver")
        command = [
            sys.executable, "-m", "bench", "wind", str(job), "ht", "--counter", f"hall@{os.ttyname(slave)}", "--target",
            "10000", "--json",
        ]  # fmt: skip
        wind = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, env={**os.environ, "TURNPROOF_HOME": home}
        )
        try:
            return _fed(wind, master, seconds, rpm / 60.0 * _PER)
        finally:
            wind.kill()
            wind.wait()
            os.close(slave)
            os.close(master)


def _fed(
    wind: subprocess.Popen[bytes], master: int, seconds: float, edges_per_s: float
) -> tuple[list[float], float, int]:
    assert wind.stdout is not None
    _say(master, "hall hello turnproof-1 sensors=2 magnets=2 boot=1 board=L1")
    begun: float | None = None
    number, heard, rest, late = 0, 0, b"", []
    cpu_at_start, origin = 0.0, 0
    next_line = time.monotonic()
    while True:
        now = time.monotonic()
        if now >= next_line:
            number += 1
            edges = 0 if begun is None else int((now - begun) * edges_per_s)
            _say(master, f"hall 1 1 {number} {int(now * 1000) % (1 << 30)} {edges} {_PER}")
            next_line += _TICK_S
        ready, _, _ = select.select([wind.stdout], [], [], max(0.0, next_line - time.monotonic()))
        if not ready:
            continue
        *lines, rest = (rest + os.read(wind.stdout.fileno(), 65536)).split(b"\n")
        shown_at = time.monotonic()
        for line in lines:
            told = json.loads(line)
            if "turns" not in told:
                continue
            if begun is None:
                begun, cpu_at_start, origin = shown_at, _cpu(wind.pid), 0
                continue
            edges = round(told["turns"] * _PER)
            if shown_at - begun > _WARM_UP_S:
                late += [shown_at - (begun + (edge + 1) / edges_per_s) for edge in range(heard, edges)]
            heard = max(heard, edges)
        if begun is not None and shown_at - begun > seconds:
            return late, (_cpu(wind.pid) - cpu_at_start) / (shown_at - begun), number - origin


def _say(master: int, body: str) -> None:
    data = body.encode()
    os.write(master, data + b" %04X\n" % check_sum(data))


def _cpu(pid: int) -> float:
    """CPU seconds of a process so far (Linux)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
