"""The exciting current is no sine: what a meter shows of it, brought to RMS by the wave that the design expects."""

from __future__ import annotations

import math

from bench.acceptance.meter_abilities import WaveReading
from bench.estimate import Estimate
from bench.job.expectation import ExcitingCurve
from drivers.mean_responding import crest_factor_allowed, shown_over_true
from drivers.meter_profile import Response

__all__ = ["as_rms"]

_WAVE = "wave of the current"
_OF_THE_CORRECTION = 0.5
"""Standard uncertainty of the correction as a share of it: steel, joints and a fault bend the wave their own way (a
closed turn makes it more of a sine); common practice, no source."""


def as_rms(
    read: Estimate, wave: WaveReading, curve: ExcitingCurve, volts: float, span: float | None
) -> tuple[Estimate, str]:
    """The reading [A] as RMS, with what was done to it in words, empty for nothing.

    wave: what the meter makes of a wave;  curve: with the form and crest factor expected at `volts` on the winding;
    span: full scale of the range, SI.  A mean-responding meter shows 1.1107 times the mean rectified value, so the RMS
    is what it shows times form factor / 1.1107.  A meter of which nobody says it is taken half way, with a doubt that
    holds both.  Beyond the crest factor that it can take (where that is stated at full scale, larger by
    full scale over reading below it) the peaks may be lost: the excess is its doubt.
    """
    form, crest = curve.form_factor_at(volts), curve.crest_factor_at(volts)
    if form is None or crest is None:
        return read, ""
    notes: list[str] = []
    correction = 1.0 / shown_over_true(form) - 1.0
    if wave.response is Response.MEAN:
        read = read * (1.0 + correction)
        read = read.also(_WAVE, read.value * abs(correction) * _OF_THE_CORRECTION)
        notes.append(f"mean-responding meter, {correction * 100:+.1f} % for the wave that the design expects")
    elif wave.response is Response.NONE:
        read = read * (1.0 + correction / 2)
        read = read.also(_WAVE, read.value * abs(correction) / 2 / math.sqrt(3.0))
        notes.append(
            f"nobody says whether this meter reads true RMS: between 0 and {correction * 100:+.1f} % for the wave"
        )
    bears = _crest_borne(wave, read.value, span)
    if crest > bears:
        read = read.also("crest factor", read.value * (crest / bears - 1.0) / math.sqrt(3.0))
        notes.append(f"crest factor {crest:.1f}, the meter bears {bears:.1f} there")
    return read, "; ".join(notes)


def _crest_borne(wave: WaveReading, shown: float, span: float | None) -> float:
    """The largest crest factor that the meter takes where it shows so much; infinite where nothing is stated."""
    most = math.inf if wave.crest_factor_max is None else wave.crest_factor_max
    at_full_scale = wave.crest_factor_full_scale
    if at_full_scale is None or shown <= 0:
        return most
    return min(most, crest_factor_allowed(shown, max(span or 0.0, shown), at_full_scale))
