"""The design search against trying everything, over many random small problems."""

from __future__ import annotations

import argparse
import math

from bench.design.search import best_design
from tests.design.test_search import by_enumeration, small_problem

__all__ = ["add_to"]


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = commands.add_parser("design", help="Search against enumeration of turns, wires and orders.")
    parser.add_argument("--seeds", type=int, default=200)
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Prints how many were equal, and each that was not; 0 when all were."""
    equal = without = 0
    for seed in range(arguments.seeds):
        problem = small_problem(seed)
        found, tried = best_design(problem), by_enumeration(problem)
        without += tried is None
        same = (found is None and tried is None) or (
            found is not None and tried is not None and math.isclose(found.worth, tried, rel_tol=1e-9)
        )
        equal += same
        if not same:
            print(f"seed {seed}: found {None if found is None else found.worth}, trying everything {tried}")
    print(f"{equal} of {arguments.seeds} equal; {without} of them without any design")
    return 0 if equal == arguments.seeds else 1
