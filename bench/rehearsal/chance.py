"""Random streams by seed and name, so that one thing drawn never shifts another."""

from __future__ import annotations

import zlib

import numpy as np

__all__ = ["bounded_normal", "stream"]


def stream(seed: int, name: str) -> np.random.Generator:
    """The generator that belongs to a name under a seed; the same each time it is asked for."""
    return np.random.default_rng([seed, zlib.crc32(name.encode("utf-8"))])


def bounded_normal(rng: np.random.Generator, deviation: float, bound: float) -> float:
    """A normal deviate with the given standard deviation, cut off at +-bound."""
    return float(np.clip(rng.normal(0.0, deviation), -bound, bound))
