"""`python -m tests.campaigns readings`: a meter read a hundred thousand times over a line that does what the thirty
cases say, against a truth that another process keeps."""

from __future__ import annotations

import argparse
import logging
import multiprocessing
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from typing import Any

from .lane import LaneOutcome, run_lane

__all__ = ["add_to", "run_lanes", "table"]


def add_to(commands: Any) -> None:
    parser = commands.add_parser("readings", help=__doc__)
    parser.add_argument("--readings", type=int, default=100_000)
    parser.add_argument("--rate", type=float, default=0.04, help="share of all answers that meet trouble")
    parser.add_argument("--lanes", type=int, default=12, help="meters side by side; they mostly wait")
    parser.add_argument("--seed", type=int, default=0)
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Prints a table; status 1 where a reading was another query's, a deadline passed or a second program got in."""
    begun = time.monotonic()
    outcomes = run_lanes(arguments.readings, arguments.lanes, arguments.seed, arguments.rate)
    for line in table(outcomes):
        print(line)
    took = time.monotonic() - begun
    total = sum(sum(outcome.came.values()) for outcome in outcomes)
    print(f"{took / 60:.1f} minutes, {total / took:.0f} readings a second")
    return 1 if any(map(_bad, outcomes)) else 0


def run_lanes(readings: int, lanes: int, seed: int, rate: float) -> list[LaneOutcome]:
    """So many readings in all, on so many meters side by side, each in a process of its own."""
    each = -(-readings // lanes)
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(lanes, mp_context=context, initializer=_hush) as pool:
        work = [pool.submit(run_lane, seed + lane, each, rate) for lane in range(lanes)]
        return [lane.result() for lane in work]


def _hush() -> None:
    # trouble is what this is about: it would be told some ten thousand times
    logging.getLogger("drivers").setLevel(logging.ERROR)


def _bad(outcome: LaneOutcome) -> bool:
    return bool(outcome.another or outcome.not_refused or outcome.longest_s > outcome.deadline_s)


def table(outcomes: list[LaneOutcome]) -> list[str]:
    """What came of all lanes, in a few lines."""
    came = sum((outcome.came for outcome in outcomes), Counter())
    faults = sum((outcome.faults for outcome in outcomes), Counter())
    another = [(outcome.seed, text) for outcome in outcomes for text in outcome.another]
    refused, tried = sum(o.refused for o in outcomes), sum(o.refused + o.not_refused for o in outcomes)
    rows = [
        ("readings asked for", f"{sum(came.values())}"),
        *((f"  {what}", f"{count}") for what, count in came.most_common()),
        ("of another query, or not what was meant", f"{len(another)}"),
        ("longest reading", f"{max(o.longest_s for o in outcomes):.2f} s, deadline {outcomes[0].deadline_s:.2f} s"),
        ("longest without a reading", f"{max(o.without_s for o in outcomes):.2f} s"),
        ("second program refused", f"{refused} of {tried}"),
        ("faults", f"{sum(faults.values())}"),
    ]
    lines = [f"{name:<42}{value}" for name, value in rows]
    lines.append("by case: " + ", ".join(f"{case}: {count}" for case, count in sorted(faults.items())))
    return lines + [f"    seed {seed}: {text}" for seed, text in another[:10]]
