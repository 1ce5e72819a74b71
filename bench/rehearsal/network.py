"""The linear part of the bench: what every node and branch does per volt of supply and per unit of flux change."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["Network", "Response"]

Complex = NDArray[np.complex128]
_LEAK = 1e-11  # siemens from every node to earth, so that a floating winding has a potential


@dataclass(frozen=True, slots=True)
class Response:
    """Per harmonic (first axis) and for one volt of supply [..., 0] or one volt per turn [..., 1]:

    node potentials [V], branch currents [A], and ampere turns on the core.
    """

    nodes: Complex
    branches: Complex
    ampere_turns: Complex


@dataclass
class Network:
    """A circuit under construction; `earth` has the potential zero. Branch currents run from begin to end."""

    earth: str = "supply.neutral"
    _nodes: dict[str, int] = field(default_factory=dict)
    _branches: dict[str, tuple[int, int]] = field(default_factory=dict)
    _resistance: list[float] = field(default_factory=list)
    _turns: list[float] = field(default_factory=list)
    _driven: list[float] = field(default_factory=list)
    _inductance: dict[tuple[int, int], float] = field(default_factory=dict)
    _conductances: list[tuple[int, int, float]] = field(default_factory=list)

    def node(self, name: str) -> int:
        """Index of a node, made on first use; -1 for earth."""
        if name == self.earth:
            return -1
        return self._nodes.setdefault(name, len(self._nodes))

    def branch(self, name: str) -> int:
        """Index of a branch; raises KeyError."""
        return list(self._branches).index(name)

    def has_branch(self, name: str) -> bool:
        """Whether the circuit has a branch of that name."""
        return name in self._branches

    def resistor(self, name: str, begin: str, end: str, ohms: float) -> None:
        """A resistance [ohm] whose current may be asked for."""
        self._add(name, begin, end, ohms, 0.0, 0.0)

    def conductance(self, begin: str, end: str, siemens: float) -> None:
        """A conductance [S] that is only a burden."""
        self._conductances.append((self.node(begin), self.node(end), siemens))

    def source(self, name: str, live: str, ohms: float, henries: float) -> None:
        """The supply, between live and earth, with its internal impedance."""
        index = self._add(name, self.earth, live, ohms, 0.0, 1.0)
        self._inductance[index, index] = henries

    def coil(self, name: str, begin: str, end: str, turns: float, ohms: float) -> int:
        """Turns around the core; gives the index for `inductance`."""
        return self._add(name, begin, end, ohms, turns, 0.0)

    def inductance(self, one: int, other: int, henries: float) -> None:
        """Self (one = other) or mutual leakage inductance [H] of two coils."""
        self._inductance[one, other] = henries

    def solve(self, angular: NDArray[np.float64]) -> Response:
        """Response at angular frequencies [rad/s]."""
        static, dynamic, drive = self._matrices()
        matrices = static + 1j * angular[:, None, None] * dynamic
        right = np.broadcast_to(drive, (len(angular), *drive.shape))
        solution = np.linalg.solve(matrices, right)
        n = len(self._nodes)
        currents = np.asarray(solution[:, n:, :], dtype=np.complex128)
        turns = np.asarray(self._turns)
        # Earth is the last node, so that index -1 finds it.
        nodes = np.concatenate([solution[:, :n, :], np.zeros((len(angular), 1, 2))], axis=1)
        return Response(nodes, currents, np.asarray(np.einsum("b,hbk->hk", turns, currents), dtype=np.complex128))

    def resistance(self, begin: str, end: str) -> float:
        """What direct current meets between two nodes [ohm]; the supply counts as its internal resistance."""
        static, _, _ = self._matrices()
        right = np.zeros(static.shape[0])
        a, b = self.node(begin), self.node(end)
        if a >= 0:
            right[a] += 1.0
        if b >= 0:
            right[b] -= 1.0
        potential = np.append(np.linalg.solve(static, right)[: len(self._nodes)], 0.0)
        return float(potential[a] - potential[b])

    def _add(self, name: str, begin: str, end: str, ohms: float, turns: float, driven: float) -> int:
        if name in self._branches:
            raise ValueError(f"branch {name} is there already")
        self._branches[name] = (self.node(begin), self.node(end))
        self._resistance.append(ohms)
        self._turns.append(turns)
        self._driven.append(driven)
        return len(self._resistance) - 1

    def _matrices(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Nodal equations, then branch equations: v_begin - v_end - R i - jwL i = turns x flux change - drive."""
        n, m = len(self._nodes), len(self._branches)
        static, dynamic = np.zeros((n + m, n + m)), np.zeros((n + m, n + m))
        drive = np.zeros((n + m, 2))
        static[range(n), range(n)] = _LEAK
        for a, b, siemens in self._conductances:
            for one, other in ((a, b), (b, a)):
                if one >= 0:
                    static[one, one] += siemens
                    if other >= 0:
                        static[one, other] -= siemens
        for index, (a, b) in enumerate(self._branches.values()):
            row = n + index
            for node, sign in ((a, 1.0), (b, -1.0)):
                if node >= 0:
                    static[node, row] += sign
                    static[row, node] += sign
            static[row, row] -= self._resistance[index]
            drive[row] = (-self._driven[index], self._turns[index])
        for (one, other), henries in self._inductance.items():
            dynamic[n + one, n + other] -= henries
        return static, dynamic, drive
