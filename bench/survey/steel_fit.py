"""Which of the known steels a volt-ampere curve fits, and with how much air in its joints."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bench.job.as_found import CurvePoint
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import exciting_curve
from bench.magnetics.steel import Steel

__all__ = ["SteelFit", "fit_steels"]

_U_JOINT = 0.03e-3
"""What the joints of an old core may amount to beyond the usual [m] (common practice, no source)."""


@dataclass(frozen=True)
class SteelFit:
    """steel: its name;  joint [m] of air;  area_factor: of the net area;  loss_factor: of the sheet's loss where watts
    were read, else 1;  scatter: root mean square of ln(read / fitted);  probability: among the known steels."""

    steel: str
    joint: float
    area_factor: float
    loss_factor: float
    scatter: float
    probability: float

    @property
    def fits(self) -> bool:
        """Whether the curve is this steel's within a quarter: closer than two makers' sheets of one grade."""
        return self.scatter < 0.25


def fit_steels(
    steels: Mapping[str, Steel],
    points: Sequence[CurvePoint],
    turns: float,
    frequency: float,
    core: MagneticCore,
    resistance: float,
    rules: dict[str, Any],
) -> list[SteelFit]:
    """Every known steel fitted to the curve, most likely first.

    core: area, path and joint as they are known, its steel is replaced;  resistance [ohm] of the fed winding, whose own
    watts are taken off;  rules: `steel_fit` and `core` of profiles/limits/survey.  Joint, area and loss are let free
    within what is known of them, by least squares in logarithms.
    """
    fits = []
    for name, steel in steels.items():
        found = _fit(replace(core, steel=steel), points, turns, frequency, resistance, rules)
        if found is not None:
            fits.append((found[1], replace(found[0], steel=name)))
    if not fits:
        return []
    least = min(cost for cost, _ in fits)
    weights = [math.exp(least - cost) for cost, _ in fits]
    total = sum(weights)
    ranked = [replace(fit, probability=w / total) for (_, fit), w in zip(fits, weights, strict=True)]
    return sorted(ranked, key=lambda one: -one.probability)


def _fit(
    core: MagneticCore,
    points: Sequence[CurvePoint],
    turns: float,
    frequency: float,
    resistance: float,
    rules: dict[str, Any],
) -> tuple[SteelFit, float] | None:
    fit_rules, u_area = rules["steel_fit"], float(rules["core"]["u_log_area"])
    amps = np.log([one.current for one in points])
    volts = np.array([one.voltage for one in points])
    watts = np.array([math.nan if one.power is None else one.power - resistance * one.current**2 for one in points])
    known = watts > 0

    def logs(parameters: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        moved = replace(
            core,
            joint=parameters[0] * _U_JOINT,
            area=core.area * math.exp(parameters[1] * u_area),
            building_factor=core.building_factor * math.exp(parameters[2] * fit_rules["u_log_watts"]),
        )
        # Read at the terminals: what the winding's own ohms take off the EMF is a fraction of a percent here.
        taken = exciting_curve(moved, turns, volts, frequency)
        return np.log(taken.current) - amps, np.log(taken.core_loss[known]) - np.log(watts[known])

    def residues(parameters: NDArray[np.float64]) -> NDArray[np.float64]:
        off_amps, off_watts = logs(parameters)
        own = [parameters[0] - core.joint / _U_JOINT, parameters[1], parameters[2]]
        return np.concatenate([off_amps / fit_rules["u_log_current"], off_watts / fit_rules["u_log_watts"], own])

    from scipy.optimize import least_squares  # half a second, which a survey without a curve need not wait

    try:
        solved = least_squares(residues, [core.joint / _U_JOINT, 0.0, 0.0], bounds=([0, -3, -5], [20, 3, 5]))
    except ValueError:  # a frequency that the loss tables don't reach
        return None
    off_amps, off_watts = logs(solved.x)
    scatter = float(np.sqrt(np.mean(np.concatenate([off_amps, off_watts]) ** 2)))
    found = SteelFit(
        steel="",
        joint=float(solved.x[0]) * _U_JOINT,
        area_factor=math.exp(float(solved.x[1]) * u_area),
        loss_factor=math.exp(float(solved.x[2]) * fit_rules["u_log_watts"]) if len(off_watts) else 1.0,
        scatter=scatter,
        probability=0.0,
    )
    return found, float(solved.cost)
