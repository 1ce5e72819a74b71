"""Current and watts of a core as found, and what they become when something about it changes."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from bench.job.as_found import CurvePoint

__all__ = [
    "LOSS_BY_FREQUENCY",
    "SLOPES",
    "USUAL_LOSS_SLOPE",
    "USUAL_POWER_FACTOR",
    "USUAL_SLOPE",
    "U_LOG_POWER_FACTOR",
    "AsItWas",
    "Change",
    "Taken",
    "as_it_was",
    "loss_of",
    "loss_slope",
    "reactive_of",
    "slope_of",
    "taken",
]

# Volts this far beyond the curve's ends are still compared, as a share: a mains of another day.
_BEYOND = 0.03
# d ln I / d ln V of small cores at 1.0, 1.2 and 1.4 T, and d ln P / d ln V of their loss there.  The loss, and the
# field up to 1.2 T, are read off the tables of profiles/steels; at 1.4 T the field alone rises with the tenth power, of
# which joints and the RMS of the wave leave about 7 (from memory).
SLOPES, _LOSS_SLOPES = (1.5, 3.5, 7.0), (1.7, 2.1, 2.4)
USUAL_SLOPE, USUAL_LOSS_SLOPE = SLOPES[1], _LOSS_SLOPES[1]
# Loss at a fixed flux goes with the frequency to this power: tables of profiles/steels at 50 and 60 Hz.
LOSS_BY_FREQUENCY = 1.2
# u of ln(current) and of ln(watts) per unit of ln(volts) to the nearest point: a curve that bends at its knee leaves
# the straight line of two points, and one point has no slope.  Common practice, no source.
_U_BEND, _U_LOSS_BEND = 0.4, 0.1
# A core's own watts can't be less than this share of what a wattmeter shows, its reactive current of its current.
_LEAST = 0.05
# Working over whole current where watts as found are not known, and u of its logarithm; common practice, no source.
USUAL_POWER_FACTOR, U_LOG_POWER_FACTOR = 0.25, 0.5


@dataclass(frozen=True)
class AsItWas:
    """A core as found at `volts` [V].  current [A];  watts [W] at the terminals, None where nobody read them;
    u_log_current, u_log_watts: of the way between the points of its curve."""

    volts: float
    current: float
    watts: float | None
    u_log_current: float
    u_log_watts: float


@dataclass(frozen=True)
class Change:
    """How a unit differs from what it was.

    reactive, loss: ln of reactive current and core loss over those as found;  gap: reactive current that air adds, over
    that as found at the highest volts compared;  loop: watts that a closed loop takes there, over the core loss;  ohms:
    ln of a winding's ohms over those as found, by winding;  opened: a winding that is broken.
    """

    reactive: float = 0.0
    loss: float = 0.0
    gap: float = 0.0
    loop: float = 0.0
    ohms: dict[str, float] = field(default_factory=dict)
    opened: str = ""


@dataclass(frozen=True)
class Taken:
    """current [A rms] and watts [W] at the terminals of the fed winding."""

    current: float
    watts: float


def as_it_was(curve: tuple[CurvePoint, ...], volts: float) -> AsItWas | None:
    """The curve as found at `volts` [V], straight between its points in logarithms; None outside of it."""
    if not curve:
        return None
    logs = np.log([one.voltage for one in curve])
    at = math.log(volts)
    if not logs[0] - _BEYOND <= at <= logs[-1] + _BEYOND:
        return None
    away = float(np.min(np.abs(logs - at)))
    current = _along(logs, np.log([one.current for one in curve]), at, USUAL_SLOPE)
    powers = [one.power for one in curve]
    read = [(log, math.log(power)) for log, power in zip(logs, powers, strict=True) if power is not None]
    watts, away_of_watts = None, away
    if read and read[0][0] - _BEYOND <= at <= read[-1][0] + _BEYOND:
        at_logs, of_logs = np.array([one for one, _ in read]), np.array([one for _, one in read])
        watts = math.exp(_along(at_logs, of_logs, at, USUAL_LOSS_SLOPE))
        away_of_watts = float(np.min(np.abs(at_logs - at)))
    return AsItWas(volts, math.exp(current), watts, _U_BEND * away, _U_LOSS_BEND * away_of_watts)


def _along(logs: np.ndarray, of: np.ndarray, at: float, slope: float) -> float:
    """Straight between points; a little beyond the ends by the usual slope."""
    beyond = at - float(np.clip(at, logs[0], logs[-1]))
    return float(np.interp(at, logs, of)) + slope * beyond


def slope_of(curve: tuple[CurvePoint, ...], volts: float) -> float | None:
    """d ln I / d ln V about `volts` [V]; None where no two points tell it."""
    points = sorted(curve, key=lambda one: abs(math.log(one.voltage / volts)))[:2]
    if len(points) < 2 or abs(math.log(points[0].voltage / points[1].voltage)) < _BEYOND:
        return None
    one, other = points
    return max(1.0, math.log(one.current / other.current) / math.log(one.voltage / other.voltage))


def loss_slope(slope: float) -> float:
    """d ln P / d ln V of the loss of a core whose current rises with `slope`, d ln I / d ln V."""
    return float(np.interp(slope, SLOPES, _LOSS_SLOPES))


def loss_of(was: AsItWas, ohms: float, power_factor: float = USUAL_POWER_FACTOR) -> float:
    """Core loss [W] as found: watts at the terminals less I2R of the fed winding's `ohms`; by `power_factor` where
    nobody read watts."""
    if was.watts is None:
        return power_factor * was.volts * was.current
    return max(was.watts - ohms * was.current**2, _LEAST * was.watts)


def reactive_of(volts: float, current: float, loss: float) -> float:
    """Im [A] = sqrt(I^2 - Iw^2) with Iw = core loss / volts; the ordinary equivalent circuit, any textbook."""
    return math.sqrt(max(current**2 - (loss / volts) ** 2, (_LEAST * current) ** 2))


def taken(
    was: AsItWas,
    change: Change,
    reference: AsItWas,
    ohms: tuple[float, float],
    power_factor: float = USUAL_POWER_FACTOR,
) -> Taken:
    """What the fed winding takes after a change, at the volts of `was`.

    ohms [ohm]: of the fed winding as found and now;  reference: the core as found at the volts where gap and loop of
    the change are stated: the current that air takes goes with the volts, the watts of a loop with their square.  The
    curve as found was read through the winding's ohms: only what more current drops there is new.
    """
    before, after = ohms
    loss = loss_of(was, before, power_factor)
    reactive = reactive_of(was.volts, was.current, loss)
    if change.gap or change.loop:
        share = was.volts / reference.volts
        own = loss_of(reference, before, power_factor)
        air = change.gap * reactive_of(reference.volts, reference.current, own) * share
        loop = change.loop * own * share**2
    else:
        air = loop = 0.0
    as_found = _volts_over_core(was.volts, reactive, loss, before)
    reactive = reactive * math.exp(change.reactive) + air
    loss = loss * math.exp(change.loss) + loop
    left = as_found / _volts_over_core(was.volts, reactive, loss, after)
    current = math.hypot(reactive, loss / was.volts) * left
    return Taken(current, loss * left**2 + after * current**2)


def _volts_over_core(volts: float, reactive: float, loss: float, ohms: float) -> float:
    """Volts at the terminals over those that the core has, |1 + R Y| with R in series and Y = P/V^2 - j Im/V across it;
    any textbook.  However little a loop's ohms, the fed winding takes no more than volts over its own."""
    return math.hypot(1 + ohms * loss / volts**2, ohms * reactive / volts)
