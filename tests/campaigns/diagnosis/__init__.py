"""`python -m tests.campaigns diagnosis`: how often the diagnosis names the fault and its place, over units with one
fault or none that the rehearsal plays, with meters of four classes, on a bench that reads watts and on one without."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

__all__ = ["add_to"]

_CLASSES = ("0.05", "0.2", "0.5", "1")
_BENCHES = ("watts", "plain")


def add_to(commands: Any) -> None:
    parser = commands.add_parser("diagnosis", help=__doc__)
    parser.add_argument("--units", type=int, default=2000)
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("--classes", nargs="+", choices=_CLASSES, default=list(_CLASSES), metavar="PERCENT")
    parser.add_argument("--benches", nargs="+", choices=_BENCHES, default=list(_BENCHES))
    parser.add_argument("--beyond", type=int, default=200, help="units with two faults, and with one on no list")
    parser.add_argument("--pairs", type=int, default=240, help="units of hard pairs, on which the advice is followed")
    parser.add_argument("--lanes", type=int, default=2, help="units side by side")
    parser.add_argument("--list", type=int, default=10, dest="listed", help="wrong names told one by one, a class")
    parser.add_argument(
        "--kept", type=Path, help="folder of test results: what is there is diagnosed anew, what is not is added"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the tables; status 1 where a target of the bench that reads watts is missed."""
    from tests.campaigns.diagnosis.advice import advice_table, helps
    from tests.campaigns.diagnosis.beyond_tables import outside_table, two_table
    from tests.campaigns.diagnosis.tables import tables
    from tests.campaigns.diagnosis.tally import tallies

    begun = time.monotonic()
    if arguments.kept is not None:
        arguments.kept.mkdir(parents=True, exist_ok=True)
    seeds = range(arguments.from_seed, arguments.from_seed + arguments.units)
    where = [(name, bench) for name in arguments.classes for bench in arguments.benches]

    def of(population: str, seeds: range) -> list[Any]:
        units = _all(population, seeds, where, arguments.lanes, arguments.kept)
        return [one for unit in units for one in unit]

    outcomes = of("frozen", seeds)
    print(tables(outcomes, arguments.listed))
    if arguments.beyond:
        beyond = range(arguments.from_seed, arguments.from_seed + arguments.beyond)
        print("\n" + two_table(of("two", beyond)))
        print("\n" + outside_table(of("outside", beyond)))
    failings = [line for row in tallies(outcomes) for line in row.failings]
    if arguments.pairs:
        units = _pairs(range(arguments.from_seed, arguments.from_seed + arguments.pairs), arguments)
        print("\n" + advice_table(units))
        failings += [] if helps(units) else ["the measurement advised brings less than half of what all would"]
    print(f"\n{arguments.units} units in {(time.monotonic() - begun) / 60:.1f} minutes on {arguments.lanes} lanes")
    print("\n".join(failings) or "within the targets")
    return 1 if failings else 0


def _all(
    population: str, seeds: range, where: list[tuple[str, str]], lanes: int, kept: Path | None
) -> Iterator[list[Any]]:
    from tests.campaigns.diagnosis.one_unit import run_unit

    if lanes == 1:
        yield from (run_unit(seed, where, kept, population) for seed in seeds)
        return
    with ProcessPoolExecutor(lanes) as pool:
        count = len(seeds)
        yield from pool.map(run_unit, seeds, [where] * count, [kept] * count, [population] * count, chunksize=4)


def _pairs(seeds: range, arguments: argparse.Namespace) -> list[Any]:
    from tests.campaigns.diagnosis.advice import run_pair

    if arguments.lanes == 1:
        units = [run_pair(seed, arguments.classes, arguments.kept) for seed in seeds]
    else:
        with ProcessPoolExecutor(arguments.lanes) as pool:
            count = len(seeds)
            found = pool.map(run_pair, seeds, [arguments.classes] * count, [arguments.kept] * count, chunksize=4)
            units = list(found)
    return [one for unit in units for one in unit]
