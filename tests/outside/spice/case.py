"""One circuit that both we and ngspice solve."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["SpiceCase"]


@dataclass(frozen=True)
class SpiceCase:
    """A circuit by name: its netlist, what we compute of it, and how near the two have to be.

    netlist: makes the text that ngspice runs, with a `meas` for each quantity; ours: makes the quantities by the same
    names, lower case, SI; within: greatest difference, as a fraction of ngspice's value.
    """

    name: str
    netlist: Callable[[], str]
    ours: Callable[[], dict[str, float]]
    within: float = 0.02
