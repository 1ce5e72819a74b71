"""A value with the sources of its doubt, so that doubts which two readings share cancel where they should."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from drivers.reading import Component, Reading, State

__all__ = ["Estimate"]


@dataclass(frozen=True)
class Estimate:
    """A value (SI) and, for each source, its signed contribution: sensitivity times standard uncertainty.

    Sums and products carry the contributions along to first order (JCGM 100, 5.1.2 and 5.2.2): the same source in two
    operands is fully correlated.
    """

    value: float
    parts: dict[str, float] = field(default_factory=dict)

    @classmethod
    def of(cls, reading: Reading) -> Estimate:
        """From a good reading; raises ValueError for overload and no value."""
        if reading.state is not State.GOOD or reading.value is None:
            raise ValueError(f"a reading in state {reading.state} is no number")
        parts: dict[str, float] = {}
        for component in reading.components:
            parts[component.source] = parts.get(component.source, 0.0) + component.sensitivity * component.u
        return cls(reading.value, parts)

    @property
    def u(self) -> float:
        """Combined standard uncertainty."""
        return math.sqrt(sum(part**2 for part in self.parts.values()))

    @property
    def relative(self) -> float:
        """u over the value's size."""
        return self.u / abs(self.value) if self.value else math.inf

    @property
    def components(self) -> tuple[Component, ...]:
        """The contributions as components, largest first."""
        ordered = sorted(self.parts.items(), key=lambda item: -abs(item[1]))
        return tuple(Component(source, abs(part), math.copysign(1.0, part)) for source, part in ordered if part)

    def also(self, source: str, u: float) -> Estimate:
        """The same value with one more source of doubt."""
        return Estimate(self.value, _add(self.parts, {source: u}))

    def __add__(self, other: Estimate | float) -> Estimate:
        other = _lift(other)
        return Estimate(self.value + other.value, _add(self.parts, other.parts))

    def __sub__(self, other: Estimate | float) -> Estimate:
        return self + (-1.0) * _lift(other)

    def __mul__(self, other: Estimate | float) -> Estimate:
        other = _lift(other)
        return Estimate(
            self.value * other.value, _add(_scale(self.parts, other.value), _scale(other.parts, self.value))
        )

    def __rmul__(self, other: float) -> Estimate:
        return self * other

    def __truediv__(self, other: Estimate | float) -> Estimate:
        other = _lift(other)
        if other.value == 0:
            raise ZeroDivisionError("an estimate of zero has no quotient")
        return Estimate(
            self.value / other.value,
            _add(
                _scale(self.parts, 1 / other.value),
                _scale(other.parts, -self.value / other.value**2),
            ),
        )


def _lift(value: Estimate | float) -> Estimate:
    return value if isinstance(value, Estimate) else Estimate(float(value))


def _scale(parts: dict[str, float], factor: float) -> dict[str, float]:
    return {source: part * factor for source, part in parts.items()}


def _add(first: dict[str, float], second: dict[str, float]) -> dict[str, float]:
    total = dict(first)
    for source, part in second.items():
        total[source] = total.get(source, 0.0) + part
    return total
