"""What a meter can do beyond its list of quantities: how well it reads a value, and what it makes of a peaky wave."""

from __future__ import annotations

from dataclasses import dataclass

from drivers.accuracy import Accuracy
from drivers.meter_profile import Response
from drivers.reading import Quantity

__all__ = ["Wattmeter", "WaveReading", "no_doubt_known", "true_rms"]


@dataclass(frozen=True)
class WaveReading:
    """response: what it responds to, NONE where nobody says;  crest_factor_max: the largest that it measures within its
    accuracy, crest_factor_full_scale: the same at full scale; None where not stated."""

    response: Response = Response.NONE
    crest_factor_max: float | None = None
    crest_factor_full_scale: float | None = None


@dataclass(frozen=True)
class Wattmeter:
    """A wattmeter that a person reads; its accuracy as its leaflet says."""

    name: str
    accuracy: Accuracy


def true_rms(quantity: Quantity) -> WaveReading:
    """A meter that reads any wave for what it is."""
    return WaveReading(Response.TRUE_RMS)


def no_doubt_known(quantity: Quantity, value: float) -> float | None:
    """Nobody says how well the meter reads."""
    return None
