"""`python -m tests.campaigns dashboard`: the window at work for an hour, winding after winding, face after face."""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

__all__ = ["add_to", "run"]

_SAMPLE_S = 5.0
_FRAMES = 15
_MOST_SHARE = 0.25
_MOST_GROWTH = 1.05
_MOST_SLOWER = 1.2
_FACES = ("winding", "test", "record", "survey", "design", "restack")


@dataclass(frozen=True)
class _Sample:
    """at [s];  memory [MB];  frame: median of a few [s];  share of a core since the sample before."""

    at: float
    memory: float
    frame: float
    share: float


def add_to(commands: Any) -> None:
    parser = commands.add_parser("dashboard", help=__doc__)
    parser.add_argument("--minutes", type=float, default=60.0)
    parser.add_argument("--rpm", type=float, default=3000.0)
    parser.add_argument("--winding", type=float, default=120.0, metavar="SECONDS", help="how long each winding goes")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Status 1 where memory or the time of a frame grows, or the window takes more than a quarter of a core.

    Compared are the second fifth, when all has been seen once, and the last; its instruments are another
    process and not counted.
    """
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    with tempfile.TemporaryDirectory() as home:
        os.environ["TURNPROOF_HOME"] = home
        samples = _soak(Path(home), arguments.minutes * 60.0, arguments.rpm, arguments.winding)
    fifth = max(1, len(samples) // 5)
    before, after = samples[fifth : 2 * fifth] or samples[:fifth], samples[-fifth:]
    memory, frame = _medians(before, after, "memory"), _medians(before, after, "frame")
    share = statistics.median(one.share for one in samples[1:] or samples)
    print(
        f"{samples[-1].at / 60:.0f} min at {arguments.rpm:g} rpm: memory {memory[0]:.0f} to {memory[1]:.0f} MB, "
        f"frame {frame[0] * 1e3:.1f} to {frame[1] * 1e3:.1f} ms, CPU share {100 * share:.0f} % of one core"
    )
    grows = memory[1] > _MOST_GROWTH * memory[0] or frame[1] > _MOST_SLOWER * frame[0]
    return 1 if grows or share > _MOST_SHARE else 0


def _medians(before: list[_Sample], after: list[_Sample], name: str) -> tuple[float, float]:
    first, last = (statistics.median(getattr(one, name) for one in part) for part in (before, after))
    return first, last


def _soak(folder: Path, seconds: float, rpm: float, winding_s: float) -> list[_Sample]:
    from bench.dashboard.application import the_application
    from tests.dashboard.at_speed import at_speed, frame, rss, spin

    the_application()
    samples: list[_Sample] = []
    with at_speed(folder) as running:
        began = time.monotonic()
        cpu, wall = time.process_time(), began
        while time.monotonic() - began < seconds:
            running.wind(rpm / 60 * winding_s, rpm)
            end = min(time.monotonic() + winding_s, began + seconds)
            while time.monotonic() < end:
                running.look_at("winding")
                spin(min(_SAMPLE_S, max(0.5, end - time.monotonic())))
                share = (time.process_time() - cpu) / (time.monotonic() - wall)
                # What follows is the measuring's own.
                took = statistics.median(frame(running.desk, running.window) for _ in range(_FRAMES))
                samples.append(_Sample(time.monotonic() - began, rss(), took, share))
                running.look_at(_FACES[len(samples) % len(_FACES)])
                spin(0.5)
                cpu, wall = time.process_time(), time.monotonic()
            running.leave()
            running.window.change_dress()
            cpu, wall = time.process_time(), time.monotonic()
    return samples
