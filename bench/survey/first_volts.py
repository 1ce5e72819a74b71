"""First volts for a unit of which nobody knows the windings: little enough that no guess can make them harmful."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.job.core import Core
from bench.magnetics.copper import CONDUCTIVITY_20C
from bench.magnetics.emf import emf
from bench.survey.interval import Interval

__all__ = ["HANDS_OFF_VOLTS", "FirstVolts", "first_volts", "guessed_turns"]

HANDS_OFF_VOLTS = 25.0
"""No terminal above these volts at a first look (common practice; as in the acceptance test)."""

_FILL = 0.30
"""Copper in the whole window of a small mains transformer: 0.20 to 0.35 (common practice, from memory)."""
_U_LOG_SHARE = 0.7
"""Of the share of the window that one winding has: half to twice an equal share (common practice, no source)."""


@dataclass(frozen=True)
class FirstVolts:
    """winding to feed;  volts [V] to begin with;  turns: guessed, of each winding;  highest [V] on any terminal, by the
    turns as guessed at their worst;  limited_by: `flux` or `terminals`."""

    winding: str
    volts: float
    turns: dict[str, Interval]
    highest: float
    limited_by: str


def guessed_turns(resistance: float, windings: int, core: Core) -> Interval | None:
    """Turns of a winding from its ohms alone: N = sqrt(R gamma fill S / (n mean turn)), one of n in the window S [m2].

    The root halves what is not known of its share of the copper.  None while the core is not known.
    """
    shape, stack = core.shape, core.stack
    if shape is None or stack is None or not resistance > 0:
        return None
    section = shape.window_width * shape.window_height * _FILL / windings
    mean_turn = 2 * (shape.tongue + stack) + math.pi * shape.window_width
    turns = math.sqrt(resistance * CONDUCTIVITY_20C * section / mean_turn)
    return Interval(max(1.0, turns), max(1.0, turns) * _U_LOG_SHARE / 2)


def first_volts(
    resistances: dict[str, float], core: Core, frequency: float, rules: dict[str, Any], known: dict[str, Interval]
) -> FirstVolts | None:
    """Feed the winding with the most turns, so that no other terminal is higher; begin at a flux that bears any error.

    resistances [ohm] by winding;  known: turns that are counted or worked out better.  rules: profiles/limits/survey.
    """
    area = core.net_area
    turns = dict(known)
    for name, resistance in resistances.items():
        if name not in turns:
            guess = guessed_turns(resistance, len(resistances), core)
            if guess is not None:
                turns[name] = guess
    if area is None or not turns:
        return None
    fed = max(turns, key=lambda name: turns[name].value)
    fewest = turns[fed].value * math.exp(-2 * turns[fed].relative)
    most = (
        max(one.value * math.exp(2 * one.relative) for name, one in turns.items() if name != fed)
        if turns.keys() - {fed}
        else fewest
    )
    by_flux = emf(frequency, fewest, float(rules["flux"]["first_T"]), area)
    step_up = max(1.0, most / fewest)
    by_terminals = HANDS_OFF_VOLTS / step_up
    volts = min(by_flux, by_terminals)
    return FirstVolts(fed, volts, turns, volts * step_up, "flux" if by_flux < by_terminals else "terminals")
