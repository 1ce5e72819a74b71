"""Which of the load resistors of a bench make up a load, one alone or a few in series or in parallel."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bench.job.bench_file import LoadResistor
from bench.quantities import show

__all__ = ["LoadChoice", "Piece", "choose_load", "pieces"]

_MOST_PIECES = 3
_ALIKE = 0.05


@dataclass(frozen=True)
class Piece:
    """One resistor of the shelf; `number` tells those of one kind apart."""

    number: int
    kind: LoadResistor


@dataclass(frozen=True)
class LoadChoice:
    """ohms, relative tolerance, how it is made up in words, and of what; `used` is empty for one that was asked for."""

    ohms: float
    tolerance: float
    words: str
    used: tuple[Piece, ...] = ()


def pieces(stock: Iterable[LoadResistor]) -> tuple[Piece, ...]:
    """Every resistor by itself."""
    each = (one for one in stock for _ in range(one.count))
    return tuple(Piece(number, kind) for number, kind in enumerate(each))


def choose_load(shelf: Sequence[Piece], ohms: float, volts: float, within: float) -> LoadChoice | None:
    """The load nearest to `ohms` that bears `volts`, no further off than `within` as a fraction; None without one.

    Up to three resistors, all in series or all in parallel; each bears its own share of the watts.
    """
    found: list[LoadChoice] = []
    for number in range(1, _MOST_PIECES + 1):
        seen: set[tuple[LoadResistor, ...]] = set()
        for used in itertools.combinations(shelf, number):
            kinds = tuple(sorted((one.kind for one in used), key=lambda kind: (kind.resistance, kind.power)))
            if kinds in seen:
                continue
            seen.add(kinds)
            found += _loads(used, kinds, volts)
    fitting = [one for one in found if abs(one.ohms / ohms - 1) <= within]
    # Few pieces before the last percent: the volts are brought to the rated load anyway.
    return min(fitting, key=lambda one: (round(abs(math.log(one.ohms / ohms)) / _ALIKE), len(one.used)), default=None)


def _loads(used: tuple[Piece, ...], kinds: tuple[LoadResistor, ...], volts: float) -> list[LoadChoice]:
    tolerance = max(kind.tolerance for kind in kinds)
    series = sum(kind.resistance for kind in kinds)
    parallel = 1 / sum(1 / kind.resistance for kind in kinds)
    names = " and ".join(show(kind.resistance, "ohm", 3) for kind in kinds)
    made = []
    if all((volts / series) ** 2 * kind.resistance <= kind.power for kind in kinds):
        made.append(LoadChoice(series, tolerance, names if len(kinds) == 1 else f"{names} in series", used))
    if len(kinds) > 1 and all(volts**2 / kind.resistance <= kind.power for kind in kinds):
        made.append(LoadChoice(parallel, tolerance, f"{names} in parallel", used))
    return made
