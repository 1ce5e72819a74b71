"""How much of the volts a good core of this size may lose behind the limiter, before anything is counted."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from bench.acceptance.limiter import Limiter
from bench.job.as_found import AsFound
from bench.job.expectation import ExcitingCurve
from bench.job.model import Job
from bench.magnetics.exciting_curve import curve_log_spreads, exciting_curve
from bench.survey.curve_answer import core_as_found
from bench.survey.flux import usual_turns_per_volt
from bench.survey.interval import COVERAGE

__all__ = ["least_share"]

_ALLOWED = 0.9
"""Of the share that a good core keeps: the lamp's law and the variac's scale are no better (common practice, no
source)."""


def least_share(
    job: Job, found: AsFound, limiter: Limiter, volts: float, nominal: float, hertz: float, rules: dict[str, Any]
) -> float:
    """Fraction of `volts` [V] that the fed winding must keep behind the limiter, for a unit that is not shorted.

    nominal [V]: what that winding was made for;  hertz [Hz]: of the supply now;  rules: profiles/limits/survey.  At
    most `least` of the rules, the usual fraction; less where the core, of its usual flux density and at the upper 95 %
    of published curves, takes more than the limiter passes easily; never less than `shorted` of the rules.
    """
    usual, shorted = float(rules["reading"]["least"]), float(rules["reading"]["shorted"])
    core, per_volt = core_as_found(job, found), usual_turns_per_volt(job, rules)
    if core is None or per_volt is None:
        return usual
    turns, points = per_volt.value * nominal, np.geomspace(0.02 * volts, volts, 16)
    try:
        curve = exciting_curve(core, turns, points, hertz)
        fewer = exciting_curve(core, turns * math.exp(-per_volt.relative), points, hertz)
        u_log_current, u_log_watts = curve_log_spreads(core, turns, points, hertz)
    except ValueError:  # a frequency or a flux that the steel is not known at
        return usual
    u_log_current = np.hypot(u_log_current, np.log(fewer.current / curve.current))
    good = ExcitingCurve(points, curve.current, u_log_current, curve.core_loss, u_log_watts)
    return max(shorted, min(usual, _ALLOWED * limiter.share_left(good, volts, COVERAGE)))
