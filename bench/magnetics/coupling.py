"""Windings on one core as the circuit between the fed terminals and all the others."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Coils", "LoadedWinding", "couple"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LoadedWinding:
    """A winding as its load sees it.

    turns N > 0, resistance R [ohm] > 0 at working temperature, leads and joints included.  half_resistances [ohm]:
    those of the two halves of a winding with a centre tap, the inner one first; else R is shared by their turns.
    half_turns: of the two halves, whose tap need not be the middle; else each has N / 2.
    """

    name: str
    turns: float
    resistance: float
    half_resistances: tuple[float, float] | None = None
    half_turns: tuple[float, float] | None = None

    @property
    def halves(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Turns of the two halves, and their resistances [ohm]."""
        turns = self.half_turns or (self.turns / 2, self.turns / 2)
        first, second = (self.resistance * one / self.turns for one in turns)
        return turns, self.half_resistances or (first, second)

    def __post_init__(self) -> None:
        for what, value in (("turns", self.turns), ("resistance", self.resistance)):
            if not (value > 0 and math.isfinite(value)):
                raise ValueError(f"{what} of {self.name} is {value:g}, expected more than 0")
        if self.half_resistances is not None:
            if min(self.half_resistances) <= 0:
                raise ValueError(f"the halves of {self.name} have {self.half_resistances} ohm, expected more than 0")
            if not math.isclose(sum(self.half_resistances), self.resistance, rel_tol=1e-6):
                raise ValueError(f"the halves of {self.name} don't add up to its {self.resistance:g} ohm")
        if self.half_turns is not None:
            if min(self.half_turns) <= 0:
                raise ValueError(f"the halves of {self.name} have {self.half_turns} turns, expected more than 0")
            if not math.isclose(sum(self.half_turns), self.turns, rel_tol=1e-6):
                raise ValueError(f"the halves of {self.name} don't add up to its {self.turns:g} turns")


@dataclass(frozen=True)
class Coils:
    """The unfed coils, with currents j [A] out of them, when the fed winding is across a source of v [V].

    A coil is a winding, or one half of a winding with a centre tap.  owner (n,): index of the winding of each coil.
    ratio a (n,): turns over fed turns.  own (n,), fed: resistances [ohm].  leakage (n, n), exciting_leakage (n,),
    emf_leakage (n,), fed_leakage [H].  With i the exciting current and i1 = i + a.j the current of the fed winding:

    terminal volts = a (v - fed i1) - own j - leakage dj/dt - exciting_leakage di/dt
    EMF of the fed winding = v - fed i1 - emf_leakage.dj/dt - fed_leakage di/dt
    """

    owner: tuple[int, ...]
    ratio: Array
    own: Array
    fed: float
    leakage: Array
    exciting_leakage: Array
    emf_leakage: Array
    fed_leakage: float

    @property
    def resistance(self) -> Array:
        """What the currents take (n, n) [ohm]: each coil's own, and the fed winding's, which all share."""
        return np.asarray(np.diag(self.own) + self.fed * np.outer(self.ratio, self.ratio))


def couple(windings: Sequence[LoadedWinding], fed: int, leakage: Array, tapped: Collection[int]) -> Coils:
    """The coils of `windings` when number `fed` is across the source and numbers `tapped` are used by halves.

    leakage (n, n) [H]: linkages of each winding with the leakage flux, for one ampere in each, such that i^T L i / 2 is
    its energy for currents whose ampere turns add up to nothing; as `leakage_matrix` gives it.
    The halves of a tapped winding are taken to lie alike: no leakage between them, and per turn that of the whole.
    Raises ValueError for a matrix of another size, not symmetric, or of negative energy.
    """
    n = len(windings)
    largest = float(np.max(np.abs(leakage), initial=0.0))
    if leakage.shape != (n, n):
        raise ValueError(f"the leakage matrix is {leakage.shape}, expected {(n, n)}")
    if not np.allclose(leakage, leakage.T, rtol=1e-6, atol=1e-9 * largest):
        raise ValueError("the leakage matrix is not symmetric")
    source = windings[fed]
    owner, turns, own = [fed], [source.turns], [source.resistance]
    for index, winding in enumerate(windings):
        if index == fed:
            continue
        if index in tapped:
            owner += [index, index]
            half_turns, half_resistances = winding.halves
            turns += half_turns
            own += half_resistances
        else:
            owner.append(index)
            turns.append(winding.turns)
            own.append(winding.resistance)
    share = np.asarray(turns) / np.asarray([windings[index].turns for index in owner])
    by_coil = np.outer(share, share) * ((leakage + leakage.T) / 2)[np.ix_(owner, owner)]
    ratio = np.asarray(turns[1:]) / source.turns
    # One ampere out of a coil, and the current that cancels its ampere turns into the fed winding.
    pair = np.vstack([ratio, -np.eye(len(ratio))])
    circuit = pair.T @ by_coil @ pair
    if len(ratio) and float(np.min(np.linalg.eigvalsh(circuit))) < -1e-6 * float(np.max(np.abs(circuit))):
        raise ValueError("the leakage matrix gives a negative energy for some currents")
    return Coils(
        owner=tuple(owner[1:]),
        ratio=ratio,
        own=np.asarray(own[1:]),
        fed=source.resistance,
        leakage=circuit,
        exciting_leakage=pair.T @ by_coil[:, 0],
        emf_leakage=by_coil[0] @ pair,
        fed_leakage=float(by_coil[0, 0]),
    )
