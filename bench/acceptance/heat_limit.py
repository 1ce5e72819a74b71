"""What a run on load may warm a winding by, with the rule that says so and the one that it is not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bench.job.profiles import load_table

__all__ = ["HeatRule", "heat_rule"]

_KELVIN = 273.15


@dataclass(frozen=True)
class HeatRule:
    """rise [K] of a winding by resistance over the air;  basis in words;  supply: volts over the rated ones."""

    rise: float
    basis: str
    supply: float


def heat_rule(rules: Mapping[str, Any], letter: str) -> HeatRule:
    """The rule that a limits profile names in [heat_run], for a class of insulation (its own default where empty).

    Two kinds are known: the mean rise of a winding, and the temperature of a winding at rated ambient.  Raises
    ValueError for a standard or a class that the tables of insulation classes have not, or one of another kind.
    """
    run = rules["heat_run"]
    standards = load_table("limits", "insulation-classes")["standard"]
    name = str(run["standard"])
    known = [one for one, table in standards.items() if table["kind"] in ("mean rise", "winding temperature")]
    if name not in known or name not in run["supply"]:
        raise ValueError(f"heat_run.standard {name!r}, expected one of {', '.join(known)}, with its supply")
    table = standards[name]
    wanted = letter or str(run["class_if_not_said"])
    if wanted not in table["class"]:
        raise ValueError(f"{name} has no class {wanted!r}, expected one of {', '.join(table['class'])}")
    said = f"class {wanted}" if letter else f"class {wanted}, since the job names none"
    limit, supply, ambient = float(table["class"][wanted]), float(run["supply"][name]), float(run["ambient"])
    if table["kind"] == "mean rise":
        rise, words = limit, f"mean rise of {limit:g} K"
    else:
        rise = limit + _KELVIN - ambient
        words = f"{limit:g} °C at {ambient - _KELVIN:g} °C of air, a rise of {rise:.0f} K"
    others = ", ".join(one for one in known if one in run["supply"] and one != name)
    memory = " (from memory: check your copy of the standard)" if table["memory"] else ""
    at = f", supply {(supply - 1) * 100:+.0f} %" if supply != 1 else ", rated supply"
    return HeatRule(rise, f"{said} by {name}{memory}: {words}{at}; not the rule of {others}", supply)
