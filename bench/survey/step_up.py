"""Volts that each volt on the winding that is fed makes on the others, before anybody has read it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.job.as_found import FoundWinding
from bench.job.core import Core
from bench.survey.first_volts import guessed_turns
from bench.survey.interval import COVERAGE, Interval

__all__ = ["StepUp", "step_ups", "unlike_its_ohms"]

_U_LOG_GUESS = 0.35
"""Of turns that are guessed by ohms: as in `guessed_turns`."""
_FAR = 2.0
"""Beyond the worst of both guesses by which ohms gainsay a plate: windings of little power have little copper (common
practice, no source)."""


@dataclass(frozen=True)
class StepUp:
    """most: volts of a winding for each volt on the fed one, at the worst;  expected: by counts or plates alone, None
    where neither is known;  basis: what they rest on."""

    most: float
    expected: float | None
    basis: str


def step_ups(
    fed: str, windings: tuple[FoundWinding, ...], ohms: dict[str, float], core: Core, rules: dict[str, Any]
) -> dict[str, StepUp | None]:
    """Of every winding against `fed`: by turns counted, else by plates, else by ohms; None where nothing tells.

    ohms [ohm] by winding;  rules: profiles/limits/survey.  The guess by ohms raises what plates or counts say, since
    the leads may be those of another winding; it never lowers it.  Raises KeyError where `fed` is none of them.
    """
    by_name = {one.name: one for one in windings}
    own = sum(not one.search_coil for one in windings)
    return {one.name: _step_up(by_name[fed], one, ohms, own, core, rules) for one in windings if one.name != fed}


def unlike_its_ohms(fed: str, found: dict[str, StepUp | None], ohms: dict[str, float]) -> str:
    """A line where the ohms of the fed winding are far too few for what it is taken for, else nothing.

    A few volts on the wrong winding are hundreds on the rest, and no reading tells before they are on.
    """
    for name, one in found.items():
        if one is None or one.expected is None or not {name, fed} <= ohms.keys():
            continue
        by_ohms = math.sqrt(ohms[name] / ohms[fed])
        if by_ohms / (_FAR * math.exp(2 * COVERAGE * _U_LOG_GUESS)) > one.expected:
            return (
                f"{fed} reads {ohms[fed]:.3g} ohm and {name} {ohms[name]:.3g} ohm, but by {one.basis} each volt on "
                f"{fed} makes {one.expected:.3g} V on {name}: shorted, or the leads of another winding"
            )
    return ""


def _step_up(
    fed: FoundWinding, one: FoundWinding, ohms: dict[str, float], own: int, core: Core, rules: dict[str, Any]
) -> StepUp | None:
    by_ohms = math.sqrt(ohms[one.name] / ohms[fed.name]) if {one.name, fed.name} <= ohms.keys() else 0.0
    if fed.turns is not None and one.turns is not None:
        highest, lowest = one.turns + _within(one), max(fed.turns - _within(fed), 1.0)
        return StepUp(max(highest / lowest, by_ohms), one.turns / fed.turns, "turns counted")
    if one.search_coil:
        return StepUp(1.0, None, "a few turns of one's own")
    if fed.nameplate_voltage is not None and one.nameplate_voltage is not None:
        ratio = one.nameplate_voltage / fed.nameplate_voltage
        # Open volts of a secondary lie above its plate, the most on the smallest units.
        return StepUp(max(ratio * (1 + max(rules["nameplate"]["rise_high"])), by_ohms), ratio, "nameplates")
    turns, fed_turns = _turns(one, ohms, own, core), _turns(fed, ohms, own, core)
    if turns is not None and fed_turns is not None:
        worst = math.exp(COVERAGE * (turns.relative + fed_turns.relative))
        return StepUp(worst * turns.value / fed_turns.value, None, "ohms")
    if by_ohms:  # of two guesses the core drops out
        return StepUp(by_ohms * math.exp(2 * COVERAGE * _U_LOG_GUESS), None, "ohms")
    return None


def _turns(one: FoundWinding, ohms: dict[str, float], own: int, core: Core) -> Interval | None:
    if one.turns is not None:
        return Interval(one.turns, _within(one) / math.sqrt(3.0))
    return guessed_turns(ohms[one.name], own, core) if one.name in ohms else None


def _within(one: FoundWinding) -> float:
    return 0.0 if one.turns_within is None else one.turns_within
