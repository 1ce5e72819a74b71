"""What a meter that responds to the mean makes of a current that is no sine, and the true RMS behind what it shows.

Many hand-held meters take the mean of the magnitude and are scaled in RMS of a sine. The exciting current of a
transformer is peaky, and they show it too low; a few percent where the core is far from its knee, a fifth or more
beyond it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from drivers.reading import Component, Reading

__all__ = [
    "SINE_FORM_FACTOR",
    "Harmonic",
    "WaveFactors",
    "crest_factor_allowed",
    "factors_between",
    "shown_over_true",
    "true_rms",
    "wave_factors",
]

SINE_FORM_FACTOR = math.pi / (2.0 * math.sqrt(2.0))
"""RMS over mean of the magnitude of a sine, 1.1107: what such a meter multiplies by; by definition."""

_RECTANGULAR = math.sqrt(3.0)
_STEPS = 512  # of one period of the highest harmonic; the peak is then found within 2e-5 of it


@dataclass(frozen=True, slots=True)
class Harmonic:
    """One component of a wave: amplitude x sin(order x angle + phase), amplitude in any one unit, phase in radians."""

    order: int
    amplitude: float
    phase: float = 0.0


@dataclass(frozen=True, slots=True)
class WaveFactors:
    """form: RMS over mean of the magnitude, 1.111 for a sine; crest: peak over RMS, 1.414 for a sine.

    u_form: standard uncertainty of the form factor. Raises ValueError for factors below 1, which no wave has.
    """

    form: float
    crest: float
    u_form: float = 0.0

    def __post_init__(self) -> None:
        for name in ("form", "crest"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 1.0):
                raise ValueError(f"{name} factor {value:g}, expected 1 or more: no wave has less")
        if not (math.isfinite(self.u_form) and self.u_form >= 0.0):
            raise ValueError(f"uncertainty of the form factor {self.u_form:g}, expected 0 or more")


def wave_factors(harmonics: Sequence[Harmonic]) -> WaveFactors:
    """Form and crest factor of a wave without a direct part, from its harmonics.

    The phases count: a third harmonic of 30 % makes a wave that reads 5 % high where it flattens the peak and 14 % low
    where it sharpens it.
    Raises ValueError for no harmonic at all, an order below 1, or a wave that is nothing.  Source: by definition.
    """
    for one in harmonics:
        if one.order < 1 or not (math.isfinite(one.amplitude) and math.isfinite(one.phase)):
            raise ValueError(f"harmonic {one.order} of {one.amplitude:g}, expected an order of 1 or more and numbers")
    steps = _STEPS * max((one.order for one in harmonics), default=1)
    angles = [(step + 0.5) * 2.0 * math.pi / steps for step in range(steps)]
    wave = [sum(one.amplitude * math.sin(one.order * angle + one.phase) for one in harmonics) for angle in angles]
    rms = math.sqrt(math.fsum(value * value for value in wave) / steps)
    if rms <= 0.0:
        raise ValueError("a wave that is nothing has no factors")
    magnitudes = [abs(value) for value in wave]
    return WaveFactors(form=rms / (math.fsum(magnitudes) / steps), crest=max(magnitudes) / rms)


def factors_between(lowest: float, highest: float, crest: float) -> WaveFactors:
    """A form factor of which only its bounds are known, the middle of them, as a rectangular distribution.

    crest: the highest to be reckoned with.  Raises ValueError for bounds the wrong way round.
    Source: JCGM 100:2008, 4.3.7.
    """
    if lowest > highest:
        raise ValueError(f"form factors from {lowest:g} to {highest:g}, expected the lower one first")
    return WaveFactors((lowest + highest) / 2.0, crest, (highest - lowest) / 2.0 / _RECTANGULAR)


def shown_over_true(form_factor: float) -> float:
    """What a mean-responding meter shows over the true RMS: 1.1107 / form factor.

    1 for a sine, less for a peaky wave, more for a flat one. The meter's error is this less 1, (reading - true) / true
    as the International Vocabulary of Metrology has it; some textbooks turn the sign round.
    Raises ValueError for a form factor below 1.
    """
    if not form_factor >= 1.0:
        raise ValueError(f"form factor {form_factor:g}, expected 1 or more: no wave has less")
    return SINE_FORM_FACTOR / form_factor


def true_rms(reading: Reading, wave: WaveFactors, source: str) -> Reading:
    """The true RMS behind what a mean-responding meter showed, all its doubts with it: value x form factor / 1.1107.

    source: id of the doubt in the form factor, which readings of one wave share.
    Overload and no value stay as they are.  Source: by definition; JCGM 100:2008, 5.1.2, for the doubt.
    """
    if reading.value is None:
        return reading
    factor = 1.0 / shown_over_true(wave.form)
    doubts = (
        *(replace(one, sensitivity=one.sensitivity * factor) for one in reading.components),
        Component(source, wave.u_form, reading.value / SINE_FORM_FACTOR),
    )
    return replace(reading, value=reading.value * factor, components=doubts)


def crest_factor_allowed(shown: float, span: float, crest_factor_max: float) -> float:
    """The highest crest factor that the meter still takes without clipping, where it shows so much on that range.

    crest_factor_max is stated at full scale; below that the same peak, crest_factor_max x span, leaves more room. A
    clipped peak reads too low, by how much nothing tells: choose the next range.
    Raises ValueError.  Source: from memory of meters' leaflets; some state a limit that does not rise: read yours.
    """
    if not (shown > 0.0 and span > 0.0 and crest_factor_max >= 1.0):
        raise ValueError(
            f"{shown:g} shown on a range of {span:g} with a crest factor of {crest_factor_max:g}, expected more than 0 "
            "and a crest factor of 1 or more"
        )
    return crest_factor_max * span / shown
