"""From a job to the on-load solution of its unit: copper, leakage, core and what is connected."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from bench.design.expected import expect, magnetic_core
from bench.design.seats import seats
from bench.job.expectation import Span
from bench.job.load import Load as JobLoad
from bench.job.model import Job
from bench.magnetics.copper import at_temperature
from bench.magnetics.coupling import LoadedWinding
from bench.magnetics.leakage import Coil, Window, leakage_matrix
from bench.magnetics.load import SILICON, Circuit, Diode, Filter, Load, RectifierLoad, ResistiveLoad
from bench.magnetics.on_load import on_load
from bench.magnetics.on_load_result import OnLoad

__all__ = ["LoadedUnit", "job_loads", "loaded_unit"]

_ROOM = 293.15


@dataclass(frozen=True)
class LoadedUnit:
    """A unit with all that on-load calculation needs;  u_log_resistance: of each winding, from wire and mean turn."""

    job: Job
    windings: tuple[LoadedWinding, ...]
    leakage: np.ndarray[tuple[int, int], np.dtype[np.float64]]
    loads: tuple[Load, ...]
    core: Any
    u_log_resistance: float

    def solve(self, factor: float = 1.0, temperature: float = _ROOM, resistance_factor: float = 1.0) -> OnLoad:
        """On load at `factor` x nominal mains, copper at `temperature` [K]; raises as `on_load` does."""
        assert self.job.supply is not None
        assert self.job.primary is not None
        hotter = at_temperature(1.0, _ROOM, temperature) * resistance_factor
        windings = [
            replace(
                one,
                resistance=one.resistance * hotter,
                half_resistances=None
                if one.half_resistances is None
                else (one.half_resistances[0] * hotter, one.half_resistances[1] * hotter),
            )
            for one in self.windings
        ]
        return on_load(
            windings,
            self.job.primary.name,
            self.leakage,
            self.core,
            self.job.supply.voltage * factor,
            self.job.supply.frequency,
            self.loads,
        )


def loaded_unit(job: Job, rules: dict[str, Any]) -> LoadedUnit | None:
    """The loaded unit of a job; None while it names no load, or copper is missing.  Raises NotEnough.

    Loads: those of [[load]]; a secondary without one, but with a rated voltage and current, feeds a resistance that
    takes them.
    """
    expectation = expect(job, rules, with_curve=False)
    spans = expectation.spans
    loads = job_loads(job)
    if not loads or any(spans[one.name].resistance is None for one in job.winding):
        return None
    return LoadedUnit(
        job=job,
        windings=tuple(_winding(job, one.name, spans) for one in job.winding),
        leakage=_leakage(job),
        loads=loads,
        core=magnetic_core(job, rules["assembly"]),
        u_log_resistance=expectation.fed_span.u_log_resistance,
    )


def job_loads(job: Job) -> tuple[Load, ...]:
    """What the windings feed, in the job's order."""
    written = {one.winding for one in job.load}
    loads = [_load(job, one) for one in job.load]
    for one in job.secondaries:
        if one.name not in written and one.rated_voltage is not None and one.rated_current is not None:
            loads.append(ResistiveLoad.rated(one.name, one.rated_voltage, one.rated_current))
    return tuple(loads)


def _load(job: Job, one: JobLoad) -> Load:
    if one.rectifier == "none":
        volts = job.get_winding(one.winding).rated_voltage
        if volts is None:
            raise ValueError(
                f"load of {one.winding}: its winding has no rated_voltage, expected one beside the current"
            )
        return ResistiveLoad.rated(one.winding, volts, one.current)
    silicon = one.diode_drop is None and one.diode_resistance is None
    return RectifierLoad(
        winding=one.winding,
        circuit={"bridge": Circuit.BRIDGE, "full-wave": Circuit.FULL_WAVE, "half-wave": Circuit.HALF_WAVE}[
            one.rectifier
        ],
        filter={"none": Filter.NONE, "capacitor": Filter.CAPACITOR_INPUT, "choke": Filter.CHOKE_INPUT}[one.filter],
        diode=SILICON if silicon else Diode(one.diode_drop or 0.0, one.diode_resistance or 0.0),
        dc_current=one.current,
        capacitance=one.capacitance or 0.0,
        choke_inductance=one.choke or 0.0,
        choke_resistance=one.choke_resistance or 0.0,
    )


def _winding(job: Job, name: str, spans: dict[str, Span]) -> LoadedWinding:
    whole = spans[name]
    assert whole.resistance is not None
    halves = [one.resistance for one in spans.values() if one.winding == name and not one.whole]
    pair = (halves[0], halves[1]) if len(halves) == 2 and None not in halves else None
    return LoadedWinding(name, abs(whole.turns), whole.resistance, pair)  # type: ignore[arg-type]


def _leakage(job: Job) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """By the build where all windings have a seat in the window; none where they have not."""
    laid, shape = seats(job), job.core.shape
    if shape is None or any(one.name not in laid for one in job.winding):
        return np.zeros((len(job.winding), len(job.winding)))
    window = Window(max(shape.window_width, max(seat.outer for seat in laid.values())), shape.window_height)
    coils = [
        Coil(
            turns=float(one.turns or 1),
            inner=laid[one.name].inner,
            outer=laid[one.name].outer,
            mean_turn=sum(layer.mean_turn * layer.turns for layer in laid[one.name].layers)
            / sum(layer.turns for layer in laid[one.name].layers),
            length=laid[one.name].length,
        )
        for one in job.winding
    ]
    return np.asarray(leakage_matrix(coils, window))
