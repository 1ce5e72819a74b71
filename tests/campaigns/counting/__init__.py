"""`python -m tests.campaigns counting`: counts against a truth that another process keeps, over bad cables, lost ports,
boards without power and killed programs."""

from __future__ import annotations

import argparse
import math
import statistics
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from typing import Any

from .through_ptys import PtyOutcome, run_through_ptys
from .virtual import KINDS, Outcome, median_width, run_many

__all__ = ["add_to"]

_SHARES = {"two": 1.0, "one": 0.2, "plain": 0.2, "plain up": 0.2}
"""Runs of each kind, of those with two sensors."""
_LEGS = 12


def add_to(commands: Any) -> None:
    parser = commands.add_parser("counting", help=__doc__)
    parser.add_argument("--runs", type=int, default=1000, help="with two sensors; a fifth of it for each other kind")
    parser.add_argument("--turns", type=float, default=10_000.0, help="of a run")
    parser.add_argument(
        "--pty-legs", type=int, default=600, help="legs over a port, a third each killed, pulled, reset"
    )
    parser.add_argument("--lanes", type=int, default=2, help="runs side by side")
    parser.add_argument("--only", choices=list(KINDS), action="append")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print a row for each kind; status 1 where a count was wrong without saying so."""
    begun, bad = time.monotonic(), 0
    for name in arguments.only or list(KINDS):
        runs = max(2, round(arguments.runs * _SHARES[name]))
        lanes = arguments.lanes
        with ProcessPoolExecutor(lanes) as pool:
            parts = [
                pool.submit(run_many, KINDS[name], range(lane, runs, lanes), arguments.turns) for lane in range(lanes)
            ]
            bad += _say_virtual(name, [outcome for part in parts for outcome in part.result()])
        legs = max(6, round(arguments.pty_legs * _SHARES[name]))
        with ProcessPoolExecutor(lanes + 1) as pool:
            work = [pool.submit(run_through_ptys, KINDS[name], seed, _LEGS, 170.0) for seed in range(-(-legs // _LEGS))]
            bad += _say_ptys(name, [each.result() for each in work])
    print(f"{(time.monotonic() - begun) / 60:.1f} minutes")
    return 1 if bad else 0


def _say_virtual(name: str, outcomes: list[Outcome]) -> int:
    wrong = [each for each in outcomes if each.wrong]
    print(
        f"{KINDS[name].name}: {len(outcomes)} runs, {sum(each.turns for each in outcomes):.0f} turns, "
        f"{sum(each.counts for each in outcomes)} counts judged; wrong without saying so in {len(wrong)} runs; "
        f"warned in {sum(each.warnings > 0 for each in outcomes)}; median width {_turns(median_width(outcomes))}",
        flush=True,
    )
    _complain(wrong)
    return len(wrong)


def _say_ptys(name: str, outcomes: list[PtyOutcome]) -> int:
    wrong = [each for each in outcomes if each.wrong]
    events = sum((Counter(each.events) for each in outcomes), Counter())
    legs, warned = sum(each.legs for each in outcomes), sum(each.warned for each in outcomes)
    widths = [width for each in outcomes for width in each.widths]
    print(
        f"{KINDS[name].name}, over pseudo-terminals: {legs} legs, {sum(each.turns for each in outcomes):.0f} turns, "
        f"{', '.join(f'{count} x {event}' for event, count in sorted(events.items()))}; "
        f"{sum(each.shown for each in outcomes)} counts shown; wrong without saying so in {len(wrong)} runs; "
        f"warned in {warned} legs in which nothing was lost; median width {_turns(statistics.median(widths))}, "
        f"not bounded {sum(map(math.isinf, widths))}",
        flush=True,
    )
    _complain(wrong)
    return len(wrong)


def _complain(wrong: list[Any]) -> None:
    for each in wrong[:5]:
        print(f"    seed {each.seed}: {each.wrong} counts; {each.first_wrong}", flush=True)


def _turns(width: float) -> str:
    return "not bounded" if math.isinf(width) else f"{width:.1f} turns"
