"""`python -m tests.campaigns decisions`: how often the acceptance test accepts what does not conform, rejects what
does, and leaves a unit undecided, over a population of units whose truth is known, with meters of four classes."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from typing import Any

__all__ = ["add_to"]

_CLASSES = ("0.05", "0.2", "0.5", "1")


def add_to(commands: Any) -> None:
    parser = commands.add_parser("decisions", help=__doc__)
    parser.add_argument("--units", type=int, default=2000)
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("--classes", nargs="+", choices=_CLASSES, default=list(_CLASSES), metavar="PERCENT")
    parser.add_argument("--lanes", type=int, default=2, help="units side by side")
    parser.add_argument("--list", type=int, default=10, dest="listed", help="false verdicts told one by one, a class")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the tables; status 1 where false accepts or undecided good units are more than the bar allows."""
    from tests.campaigns.decisions.tables import tables
    from tests.campaigns.decisions.tally import tally_units

    begun = time.monotonic()
    seeds = range(arguments.from_seed, arguments.from_seed + arguments.units)
    outcomes = [one for unit in _all(seeds, tuple(arguments.classes), arguments.lanes) for one in unit]
    took = time.monotonic() - begun
    print(tables(outcomes, arguments.listed))
    rate = took * arguments.lanes / max(1, arguments.units)
    print(
        f"\n{arguments.units} units in {took / 60:.1f} minutes on {arguments.lanes} lanes, {rate:.2f} s of a lane each"
    )
    failings = [line for row in tally_units(outcomes).values() for line in row.failings]
    print("\n".join(failings) or "within the bar")
    return 1 if failings else 0


def _all(seeds: range, classes: tuple[str, ...], lanes: int) -> Iterator[list[Any]]:
    from tests.campaigns.decisions.one_unit import run_unit

    if lanes == 1:
        yield from (run_unit(seed, classes) for seed in seeds)
        return
    with ProcessPoolExecutor(lanes) as pool:
        yield from pool.map(run_unit, seeds, [classes] * len(seeds), chunksize=4)
