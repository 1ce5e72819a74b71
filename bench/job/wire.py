"""Wire sizes as people name them: millimetres, American gauge, British standard gauge."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator

from bench.job.fields import Model
from bench.job.profiles import load_table
from bench.quantities import Dimension, QuantityError, parse

__all__ = ["Wire", "WireSize", "awg_diameter", "parse_wire", "swg_diameter"]

_GAUGE = re.compile(r"\s*(\d{1,2})\s*(AWG|SWG)\s*\Z|\s*(AWG|SWG)\s*(\d{1,2})\s*\Z", re.IGNORECASE)


class Wire(Model):
    """A round copper wire by its bare diameter d [m], with the name it was given."""

    name: str
    diameter: float


def awg_diameter(gauge: float) -> float:
    """Bare diameter [m] of an American gauge number, -3 (0000) to 50.

    d = 0.127 mm * 92^((36 - n) / 39).  Source: ASTM B258, formula recalled; its two end points,
    36 AWG = 0.005 in and 0000 AWG = 0.46 in, are the definition.
    """
    if not -3 <= gauge <= 50:
        raise ValueError(f"{gauge:g} AWG is no wire size, expected 0 to 50 AWG")
    return float(0.127e-3 * 92 ** ((36 - gauge) / 39))


def swg_diameter(gauge: int) -> float:
    """Bare diameter [m] of a British standard wire gauge number, from the table in profiles/wires/swg.toml."""
    sizes: dict[str, float] = load_table("wires", "swg")["diameter_mm"]
    try:
        return sizes[str(gauge)] * 1e-3
    except KeyError:
        raise ValueError(
            f"{gauge} SWG is no wire size, expected {min(sizes, key=int)} to {max(sizes, key=int)} SWG"
        ) from None


def parse_wire(text: str) -> Wire:
    """A wire from `0.4 mm`, `26 AWG` or `24 SWG`; raises ValueError with what was expected."""
    match = _GAUGE.match(text)
    if match is not None:
        number = int(match.group(1) or match.group(4))
        system = (match.group(2) or match.group(3)).upper()
        diameter = awg_diameter(number) if system == "AWG" else swg_diameter(number)
        return Wire(name=f"{number} {system}", diameter=diameter)
    try:
        diameter = parse(text, Dimension.LENGTH)
    except QuantityError:
        raise ValueError(f"{text!r} is no wire size, expected such as '0.4 mm', '26 AWG' or '24 SWG'") from None
    if not 0.01e-3 <= diameter <= 6e-3:
        raise ValueError(f"{text!r} is no wire for a small transformer, expected 0.01 mm to 6 mm bare")
    return Wire(name=f"{diameter * 1e3:.6g} mm", diameter=diameter)


def _read(value: Any) -> Any:
    if isinstance(value, Wire):
        return value
    if isinstance(value, str):
        return parse_wire(value)
    raise ValueError("expected a wire size such as '0.4 mm', '26 AWG' or '24 SWG'")


WireSize = Annotated[Wire, BeforeValidator(_read)]
