"""What the tool is not told: how this unit, supply and meter differ from what the job says, drawn by seed."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from bench.job.model import Job
from bench.rehearsal.chance import bounded_normal, stream

__all__ = ["SourceTruth", "Variation", "WindingVariation", "draw_variation", "nominal_variation"]


@dataclass(frozen=True, slots=True)
class WindingVariation:
    """Relative errors of wire diameter and mean turn, and how much wire leads out at each end [m]."""

    wire: float = 0.0
    mean_turn: float = 0.0
    lead_out: float = 0.0


@dataclass(frozen=True, slots=True)
class SourceTruth:
    """A source's internal resistance [ohm] and inductance [H]."""

    resistance: float
    inductance: float


@dataclass(frozen=True, slots=True)
class Variation:
    """The hidden truth of one seed; ratios are relative to what the job or the dial says."""

    seed: int
    field_scale: float = 1.0
    loss_scale: float = 1.2
    stacking_scale: float = 1.0
    gap: float = 0.0
    windings: dict[str, WindingVariation] = field(default_factory=dict)
    insulation: dict[tuple[str, str], float] = field(default_factory=dict)
    temperature: float = 293.15
    meter_leads: float = 0.0
    dial_scale: float = 1.0
    series_scale: float = 1.0
    supply_scale: float = 1.0
    drift: float = 0.0
    frequency_scale: float = 1.0
    variac: SourceTruth = SourceTruth(0.5, 0.3e-3)
    low_voltage: SourceTruth = SourceTruth(0.5, 0.1e-3)
    harmonics: dict[int, complex] = field(default_factory=dict)
    tester_scale: float = 1.0

    def winding(self, name: str) -> WindingVariation:
        """Errors of one winding."""
        return self.windings.get(name, WindingVariation())

    def insulation_between(self, one: str, other: str) -> float:
        """True insulation resistance [ohm] between two bodies."""
        return self.insulation.get((one, other), self.insulation.get((other, one), 1e9))

    @property
    def distortion(self) -> float:
        """Total harmonic distortion of the supply's voltage."""
        return math.sqrt(sum(abs(share) ** 2 for share in self.harmonics.values()))


def nominal_variation(seed: int = 0) -> Variation:
    """A unit, supply and hand without any deviation: for checks against closed formulas."""
    return Variation(seed=seed, loss_scale=1.0)


def draw_variation(job: Job, seed: int) -> Variation:
    """The variation of a seed; every thing has its own stream, so that one never shifts another."""

    def near(name: str, deviation: float, bound: float) -> float:
        return bounded_normal(stream(seed, name), deviation, bound)

    def between(name: str, low: float, high: float) -> float:
        return float(stream(seed, name).uniform(low, high))

    names = [winding.name for winding in job.winding]
    bodies = [*names, *(screen.name for screen in job.screen), "core"]
    butt = job.core.interleave == "butt"
    return Variation(
        seed=seed,
        field_scale=math.exp(near("steel field", 0.17, 0.40)),
        # A stamped, stacked E-I core loses more than the strip it was tested as.
        loss_scale=between("building factor", 1.15, 1.25) * math.exp(near("steel loss", 0.07, 0.18)),
        stacking_scale=1 + near("stacking", 0.01, 0.02),
        gap=between("gap", 40e-6, 80e-6) if butt else between("gap", 1e-6, 4e-6),
        windings={
            name: WindingVariation(
                wire=near(f"wire {name}", 0.004, 0.01),
                mean_turn=near(f"mean turn {name}", 0.01, 0.02),
                lead_out=between(f"lead out {name}", 0.02, 0.06),
            )
            for name in names
        },
        insulation={
            (one, other): between(f"insulation {one} {other}", 300e6, 2000e6)
            for place, one in enumerate(bodies)
            for other in bodies[place + 1 :]
        },
        temperature=273.15 + between("temperature", 18.0, 25.0),
        meter_leads=between("meter leads", 0.1, 0.3),
        dial_scale=1 + near("dial", 0.02, 0.04),
        series_scale=1 + near("series resistor", 0.002, 0.005),
        supply_scale=1 + near("supply", 0.01, 0.03),
        drift=between("drift", 0.002, 0.006),
        frequency_scale=1 + near("frequency", 1e-4, 4e-4),
        variac=SourceTruth(between("variac ohms", 0.4, 1.2), between("variac henries", 0.2e-3, 0.8e-3)),
        low_voltage=SourceTruth(between("low voltage ohms", 0.3, 1.0), between("low voltage henries", 0.05e-3, 0.2e-3)),
        harmonics=_harmonics(seed, between("distortion", 0.01, 0.03)),
        tester_scale=1 + near("insulation tester", 0.025, 0.05),
    )


def _harmonics(seed: int, distortion: float) -> dict[int, complex]:
    """Harmonics of the supply, relative to its fundamental, that together have this distortion."""
    rng = stream(seed, "harmonics")
    weights = {order: typical * rng.uniform(0.5, 1.0) for order, typical in ((3, 0.6), (5, 1.0), (7, 0.5), (11, 0.2))}
    total = math.sqrt(sum(weight**2 for weight in weights.values()))
    return {
        order: distortion * weight / total * complex(math.cos(phase), math.sin(phase))
        for order, weight in weights.items()
        for phase in [rng.uniform(0, 2 * math.pi)]
    }
