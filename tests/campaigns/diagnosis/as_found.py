"""What was read of a unit's core before it was stripped, where somebody read it: the same laminations, put in anew."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from bench.job.as_found import AsFound
from bench.job.model import Job
from bench.rehearsal.chance import stream
from bench.rehearsal.variation import draw_variation
from drivers.reading import Quantity
from tests.campaigns.decisions.meters import CLASSES
from tests.campaigns.decisions.one_unit import forward_of
from tests.campaigns.decisions.population import Drawn, job_named
from tests.campaigns.decisions.truth import PerfectBench

__all__ = ["job_as_found"]

_POINTS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.1)
_SERIES = 1.0
# Of the watts, beside the meter's class: the resistor's one per cent, taken as even.
_U_WATTS = 0.006


def job_as_found(name: str, seed: int, meter_class: str) -> Job:
    """The job of that name with the exciting curve of its core as it came, read by a meter of the class.

    The old primary is taken to have the new one's turns; the meter's gains are other than at the test, since months lie
    between, and the joints were others.  No fault was in it.
    """
    meter, rng = CLASSES[meter_class], stream(seed, f"as found by {meter_class}")

    def gain(quantity: Quantity) -> float:
        return 1 + meter.percent / 100 * meter.of_reading[quantity] * float(rng.uniform(-1, 1))

    volts_gain, amps_gain = gain(Quantity.VOLTAGE_AC), gain(Quantity.CURRENT_AC)
    watts_gain = volts_gain * amps_gain * (1 + float(rng.normal(0.0, _U_WATTS)))
    points = [
        {
            "voltage": f"{volts * volts_gain:.7g} V",
            "current": f"{amps * amps_gain:.7g} A",
            "power": f"{watts * watts_gain:.7g} W",
        }
        for volts, amps, watts in _true_curve(name, seed)
    ]
    job = job_named(name)
    assert job.primary is not None, "every job of the population has one"
    assert job.supply is not None
    found = AsFound.model_validate(
        {"winding_turns": job.primary.turns, "frequency": f"{job.supply.frequency:g} Hz", "exciting": points}
    )
    return job.model_copy(update={"as_found": found})


@lru_cache(maxsize=2)
def _true_curve(name: str, seed: int) -> tuple[tuple[float, float, float], ...]:
    """Volts, amps, watts of the core before, by the rehearsal."""
    job = job_named(name)
    before = replace(draw_variation(job, seed), gap=draw_variation(job, seed + 7_000_000).gap)
    bench = PerfectBench(Drawn(seed, name, job, before), forward_of(name).design)
    return tuple(_point(bench, share) for share in _POINTS)


def _point(bench: PerfectBench, share: float) -> tuple[float, float, float]:
    volts, watts = bench.watts_behind(_SERIES, share)
    return volts, bench.exciting(share), watts
