"""What is not known of a winding's ohms, by its causes, and what windings of the same reel tell about it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from bench.design.plan import PlannedWinding
from bench.job.wire import conductor_tolerance
from bench.magnetics.copper import WIRE_CONDUCTIVITIES_20C
from bench.winding.wound_length import WoundLength

__all__ = ["CONDUCTIVITY", "MEAN_STRETCH", "Reference", "against", "geometry_doubts", "wire_doubts"]

CONDUCTIVITY = WIRE_CONDUCTIVITIES_20C[1]
"""Taken for the copper [S/m]: the nominal one of winding wire, from memory of IEC 60317-0-1.  A design takes the round
58e6, at which the same winding is due 0.86 % more ohms."""

MEAN_STRETCH = 0.005
"""Wire is drawn out by 0 to 1 % while it is wound by hand; the middle is taken (common practice, no source)."""

_U_STRETCH = MEAN_STRETCH / math.sqrt(3.0)

_U_LOG_AREA_THIN = 0.10 / math.sqrt(3.0)
"""Wire under 0.071 mm: the standard limits its ohms per metre to about +-10 % (from memory, check your copy)."""

_U_LOG_ALONG_REEL = 0.003
"""Between two windings from one reel: the wire along the reel, and the hand that does not pull the same twice
(common practice, no source)."""

_U_LOG_HEIGHT = 0.05
"""Of a layer's height over the leg: bulge and insulation as laid against as planned (common practice, no source)."""

_U_LOG_MEASURED_MEAN_TURN = 0.02
"""Of a mean turn that was measured: what the survey takes for one (common practice, no source)."""

_LEAST_OWN = 1e-9


@dataclass(frozen=True)
class Reference:
    """A winding that was checked before, for a later one of the same reel.  wire: its name;  batch: of the reel;
    excess: logarithm of the wire that its ohms say over the wire that its count says;  parts: doubts of that by source,
    as a fraction, with their signs;  u_count: doubt of the count, as a fraction."""

    winding: str
    wire: str
    batch: str
    excess: float
    parts: dict[str, float]
    u_count: float

    @property
    def u(self) -> float:
        return math.sqrt(sum(part**2 for part in self.parts.values()))

    def as_body(self) -> dict[str, Any]:
        return {
            "winding": self.winding,
            "wire": self.wire,
            "batch": self.batch,
            "excess": self.excess,
            "parts": dict(self.parts),
            "u_count": self.u_count,
        }

    @classmethod
    def from_body(cls, body: Mapping[str, Any]) -> Reference:
        """Raises ValueError naming what is missing or no number."""
        try:
            return cls(
                winding=str(body["winding"]),
                wire=str(body["wire"]),
                batch=str(body["batch"]),
                excess=float(body["excess"]),
                parts={str(source): float(part) for source, part in body["parts"].items()},
                u_count=float(body["u_count"]),
            )
        except KeyError as lacking:
            raise ValueError(f"a winding check without {lacking}, expected what later checks need") from None
        except (TypeError, ValueError, AttributeError) as wrong:
            raise ValueError(f"a winding check that can't be read: {wrong}") from None


def wire_doubts(planned: PlannedWinding, batch: str) -> dict[str, float]:
    """Diameter, copper and stretch of the wire, each as a fraction of the turns that the ohms say.

    Windings of one reel (wire and batch) share them but for what changes along the reel; a wire without a batch shares
    with none.  Ohms go with 1/d2: twice the tolerance of the diameter, as a rectangular distribution.
    """
    wire = planned.winding.wire
    assert wire is not None
    reel = f"wire:{wire.name}:{batch}" if batch else f"wire:{wire.name}:of {planned.name}"
    try:
        u_area = 2 * conductor_tolerance(wire.diameter) / wire.diameter / math.sqrt(3.0)
    except ValueError:
        u_area = _U_LOG_AREA_THIN
    lowest, nominal, highest = WIRE_CONDUCTIVITIES_20C
    return {
        f"{reel}:diameter": u_area,
        f"{reel}:copper": (highest - lowest) / 2 / nominal / math.sqrt(3.0),
        f"{reel}:stretch": -_U_STRETCH,
        f"reel along:{planned.name}": _U_LOG_ALONG_REEL,
    }


def geometry_doubts(
    planned: PlannedWinding, wound: WoundLength, turns: float, assembly: Mapping[str, Any]
) -> dict[str, float]:
    """Mean turn as wound against as planned, as fractions: what former and hand do to all windings alike, and the
    height of this one's layers.  Together the assembly's `u_log_mean_turn`."""
    allowed = float(assembly["u_log_mean_turn"])
    if planned.winding.mean_turn is not None:
        return {f"mean turn:{planned.name}": -min(allowed, _U_LOG_MEASURED_MEAN_TURN)}
    share = 2 * math.pi * wound.height(turns) * turns / wound.length(turns)
    own = min(allowed, share * _U_LOG_HEIGHT)
    return {
        "former and hand:mean turn": -math.sqrt(allowed**2 - own**2),
        f"height:{planned.name}": -own,
    }


def against(
    parts: Mapping[str, float], winding: str, wire: str, batch: str, earlier: Sequence[Reference]
) -> tuple[float, float, tuple[str, ...]] | None:
    """What earlier windings of the same reel tell of this one's error: (log error, its u, which windings).

    The errors are jointly normal, with what they share in common, and those of the earlier windings were seen: their
    ohms against their counts.  The conditional mean and variance of this one's error follow (any text on the
    multivariate normal distribution).  None where there is no batch or no such winding.
    """
    latest: dict[str, Reference] = {}
    for one in earlier:
        if batch and (one.wire, one.batch) == (wire, batch) and one.winding != winding:
            latest[one.winding] = one
    if not latest:
        return None
    known = list(latest.values())
    joint = np.array([[_shared(one.parts, other.parts) for other in known] for one in known])
    joint += np.diag([max(one.u_count, _LEAST_OWN) ** 2 for one in known])
    with_this = np.array([_shared(parts, one.parts) for one in known])
    gains = np.linalg.solve(joint, with_this)
    error = float(gains @ np.array([one.excess for one in known]))
    variance = _shared(parts, parts) - float(gains @ with_this)
    return error, math.sqrt(max(variance, 0.0)), tuple(latest)


def _shared(one: Mapping[str, float], other: Mapping[str, float]) -> float:
    return sum(part * other[source] for source, part in one.items() if source in other)
