"""What a meter shows from glance to glance, and the last reading that was taken of it."""

from __future__ import annotations

import statistics
from dataclasses import dataclass

from bench.acceptance.decision import COVERAGE
from bench.acceptance.report import doubt_text
from drivers.reading import Reading

__all__ = ["KEPT_S", "Glance", "Taken", "band_of", "doubt_of_reading", "with_glance"]

KEPT_S = 10.0
"""So far back [s] the trace goes."""
_MOST = 600
_NEWEST = 5
_BLIND = 0.01  # of the value, where nobody says how sure the meter is


@dataclass(frozen=True)
class Glance:
    """at [s, monotonic];  value [SI], None for overload or none;  u: standard uncertainty of the meter there;  unit: of
    both."""

    at: float
    value: float | None
    u: float | None = None
    unit: str = ""


@dataclass(frozen=True)
class Taken:
    """A reading that was kept, and when [s, monotonic]."""

    step: str
    reading: Reading
    at: float


def with_glance(glances: tuple[Glance, ...], new: Glance) -> tuple[Glance, ...]:
    """One more, and those left out that are too old to be drawn."""
    return (*(one for one in glances[1 - _MOST :] if new.at - one.at <= KEPT_S), new)


def band_of(glances: tuple[Glance, ...]) -> tuple[float, float] | None:
    """(middle, half width) of what the meter can't tell from its newest value: ±U (k = 2), SI; None without a value.

    While the trace leaves this band the reading moves by more than the meter's own doubt.
    """
    newest = [one.value for one in glances[-_NEWEST:] if one.value is not None]
    if not newest or glances[-1].value is None:
        return None
    middle, u = statistics.median(newest), glances[-1].u
    half = COVERAGE * u if u else _BLIND * abs(middle)
    return middle, half or 1e-12


def doubt_of_reading(reading: Reading) -> str:
    """`±0.013 V`, the meter's own doubt of a reading (k = 2); empty where it has no value."""
    u = reading.standard_uncertainty
    return "" if reading.value is None or u <= 0 else doubt_text(COVERAGE * u, reading.unit).replace("ohm", "Ω")
