"""The resistance that a winding had when it was switched off, from readings taken in the minutes after."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import stdtrit

from bench.magnetics.copper import ZERO_RESISTANCE_CELSIUS, rise_by_resistance

__all__ = ["LEAST_READINGS", "CoolingCurve", "extrapolate_to_switch_off", "rise_at_switch_off"]

LEAST_READINGS = 3

_KELVIN = 273.15


@dataclass(frozen=True)
class CoolingCurve:
    """What the readings say of the moment of switching off.

    resistance [ohm] at t = 0; u [ohm]: its standard uncertainty, such that two of them hold 95 %;
    time_constant [s], infinite where the readings lie on a straight line; degrees_of_freedom: readings less parameters.
    """

    resistance: float
    u: float
    time_constant: float
    degrees_of_freedom: int


def extrapolate_to_switch_off(
    times: Sequence[float],
    resistances: Sequence[float],
    u_reading: float | None = None,
    ambient_resistance: float | None = None,
) -> CoolingCurve:
    """R [ohm] at the moment of switching off, by least squares on an exponential.

    times [s] after it, rising, three at least; resistances [ohm]; u_reading [ohm]: random standard uncertainty of one
    reading (what is common to all readings of one range belongs to the rise, where it cancels against the cold one).
    If it is not given the scatter about the curve takes its place, with Student's t, which takes one reading more than
    there are parameters; scatter above u_reading widens u as well.
    ambient_resistance Ra [ohm]: what the winding has at the temperature of the air, if that is known. Then
    R = Ra + (R0 - Ra) e^(-t/T) has two parameters; otherwise R = R0 - k T (1 - e^(-t/T)) has three, and R0 is less
    sure.

    A winding cools into its core first and with the core afterwards: two time constants. Read soon (within some ten
    seconds) and for no longer than a few minutes, and leave Ra out when the curve is that of the first minutes.
    Raises ValueError for fewer readings, times that don't rise, readings that don't fall, or readings below Ra.
    Source: taking the cooling curve is common practice for rise by resistance; the fit is ordinary least squares.
    """
    t, r = np.asarray(times, dtype=float), np.asarray(resistances, dtype=float)
    _check(t, r, u_reading, ambient_resistance)
    parameters = 3 if ambient_resistance is None else 2
    freedom = len(t) - parameters
    if u_reading is None and freedom < 1:
        raise ValueError(
            f"{len(t)} readings leave no scatter about a curve with {parameters} parameters, "
            f"expected {parameters + 1} or more, or the uncertainty of one reading"
        )
    scale, span = float(r[0] - r[-1]), float(t[-1])
    slope, intercept = np.polyfit(t, r, 1)
    if not (slope < 0 and scale > 0):
        raise ValueError("the readings don't fall: the winding was not warmer than its surroundings, or not yet off")

    def model(p: NDArray[np.float64]) -> NDArray[np.float64]:
        if ambient_resistance is None:
            # expm1 over the rate, which is the time itself where the rate is 0: a straight line is no special case.
            rate = p[2] / span
            fallen = -np.expm1(-rate * t) / rate if rate > 1e-9 / span else t
            return np.asarray(p[0] - p[1] * fallen)
        return np.asarray(ambient_resistance + (p[0] - ambient_resistance) * np.exp(-p[1] / span * t))

    if ambient_resistance is None:
        start, lower, upper = [intercept, -slope, 0.5], [-np.inf, 0.0, 0.0], [np.inf, np.inf, 50.0]
        steps = [scale, scale / span, 1.0]
    else:
        over = max(intercept - ambient_resistance, scale)
        start, lower, upper = [ambient_resistance + over, scale / over], [ambient_resistance, 0.0], [np.inf, 50.0]
        steps = [scale, 1.0]
    found = least_squares(
        lambda p: (model(p) - r) / scale,
        start,
        bounds=(lower, upper),
        x_scale=steps,
        xtol=1e-12,
        ftol=1e-12,
        gtol=1e-12,
    )
    sum_of_squares = float(np.sum((model(found.x) - r) ** 2))
    # Columns brought to one size first: ohms, ohms a second and a bare number differ by many powers of ten.
    columns = found.jac / (size := np.linalg.norm(found.jac, axis=0))
    factor = math.sqrt(float(np.linalg.pinv(columns.T @ columns)[0, 0])) / float(size[0]) / scale
    rate = float(found.x[-1]) / span
    return CoolingCurve(
        resistance=float(found.x[0]),
        u=factor * _reading_uncertainty(u_reading, sum_of_squares, freedom),
        time_constant=1 / rate if rate > 1e-6 / span else math.inf,
        degrees_of_freedom=freedom,
    )


def rise_at_switch_off(
    cold_resistance: float,
    cold_temperature: float,
    curve: CoolingCurve,
    ambient: float,
    u_cold_resistance: float = 0.0,
    u_temperature: float = 0.0,
    zero_resistance_celsius: float = ZERO_RESISTANCE_CELSIUS,
) -> tuple[float, float]:
    """Rise [K] of the winding at the moment of switching off, and its standard uncertainty [K].

    cold_resistance [ohm] at cold_temperature [K]; ambient [K] at the end of the run; u_cold_resistance [ohm];
    u_temperature [K] of either thermometer reading, taken as independent. The gain of the ohmmeter cancels when both
    resistances are read on one range: put only what does not into the two uncertainties.
    Raises ValueError.  Source: EN 61558-1 clause 14.2; JCGM 100 for the propagation.
    """
    rise = rise_by_resistance(cold_resistance, cold_temperature, curve.resistance, ambient, zero_resistance_celsius)
    ratio = curve.resistance / cold_resistance
    per_ohm = (zero_resistance_celsius + cold_temperature - _KELVIN) / cold_resistance
    return rise, math.sqrt(
        (per_ohm * curve.u) ** 2
        + (per_ohm * ratio * u_cold_resistance) ** 2
        + (ratio * u_temperature) ** 2
        + u_temperature**2
    )


def _reading_uncertainty(given: float | None, sum_of_squares: float, freedom: int) -> float:
    if freedom < 1:
        assert given is not None  # refused before the fit
        return given
    scatter = math.sqrt(sum_of_squares / freedom)
    if given is None:
        return scatter * float(stdtrit(freedom, 0.975)) / 2.0
    return max(given, scatter)


def _check(
    t: NDArray[np.float64], r: NDArray[np.float64], u_reading: float | None, ambient_resistance: float | None
) -> None:
    if t.shape != r.shape or t.ndim != 1 or len(t) < LEAST_READINGS:
        raise ValueError(f"{len(t)} times and {len(r)} readings, expected as many of each and {LEAST_READINGS} or more")
    if not (np.all(np.isfinite(t)) and np.all(np.isfinite(r)) and np.all(r > 0)):
        raise ValueError("times and resistances must be finite and resistances more than 0")
    if t[0] < 0 or np.any(np.diff(t) <= 0):
        raise ValueError("times after switching off must rise from 0 or later")
    if u_reading is not None and not u_reading > 0:
        raise ValueError(f"the uncertainty of a reading is {u_reading:g} ohm, expected more than 0")
    if ambient_resistance is not None and np.any(r <= ambient_resistance):
        raise ValueError(f"a reading is not above the {ambient_resistance:g} ohm of a winding as warm as the air")
