"""From a job to the on-load solution of its unit: copper, leakage, core and what is connected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from bench.design.core_drawn import magnetic_core
from bench.design.expected import expect
from bench.design.winding_leakage import winding_leakage
from bench.job.expectation import Span
from bench.job.load import Load as JobLoad
from bench.job.load import check_loads
from bench.job.model import Job
from bench.magnetics.copper import at_temperature
from bench.magnetics.coupling import LoadedWinding
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.load import SILICON, Circuit, Diode, Filter, Load, RectifierLoad, ResistiveLoad
from bench.magnetics.on_load import STEPS, on_load
from bench.magnetics.on_load_result import OnLoad

__all__ = ["LoadedUnit", "NotOnLoad", "job_loads", "loaded_unit"]

_ROOM = 293.15


class NotOnLoad(ValueError):
    """The job does not say enough for readings on load; `reasons` are in words, one each."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = tuple(reasons)


@dataclass(frozen=True)
class LoadedUnit:
    """A unit with all that on-load calculation needs.

    u_log_resistance: of all windings together, from wire and mean turn;  taken: what was taken for want of knowledge,
    in words.
    """

    job: Job
    windings: tuple[LoadedWinding, ...]
    leakage: np.ndarray[tuple[int, int], np.dtype[np.float64]]
    loads: tuple[Load, ...]
    core: MagneticCore | None
    u_log_resistance: float
    taken: tuple[str, ...] = ()

    def with_copper(self, factor: float) -> LoadedUnit:
        """The same with `factor` times the ohms of every winding."""

        def more(one: LoadedWinding) -> LoadedWinding:
            halves = one.half_resistances
            return replace(
                one,
                resistance=one.resistance * factor,
                half_resistances=None if halves is None else (halves[0] * factor, halves[1] * factor),
            )

        return replace(self, windings=tuple(more(one) for one in self.windings))

    def with_turns(self, name: str, factor: float) -> LoadedUnit:
        """The same with `factor` times the turns of one winding, and the leakage that goes with them."""

        def more(one: LoadedWinding) -> LoadedWinding:
            halves = one.half_turns
            return replace(
                one,
                turns=one.turns * factor,
                half_turns=None if halves is None else (halves[0] * factor, halves[1] * factor),
            )

        share = np.array([factor if one.name == name else 1.0 for one in self.windings])
        windings = tuple(more(one) if one.name == name else one for one in self.windings)
        return replace(self, windings=windings, leakage=self.leakage * np.outer(share, share))

    def solve(self, factor: float = 1.0, temperature: float = _ROOM, steps: int = STEPS) -> OnLoad:
        """On load at `factor` x nominal mains, copper at `temperature` [K]; steps of a cycle; raises as `on_load`."""
        assert self.job.supply is not None
        assert self.job.primary is not None
        return on_load(
            self.with_copper(at_temperature(1.0, _ROOM, temperature)).windings,
            self.job.primary.name,
            self.leakage,
            self.core,
            self.job.supply.voltage * factor,
            self.job.supply.frequency,
            self.loads,
            steps,
        )


def loaded_unit(job: Job, rules: dict[str, Any]) -> LoadedUnit:
    """The loaded unit of a job.  Raises NotEnough, and NotOnLoad with what the job lacks for readings on load.

    Loads: those of [[load]]; a secondary without one, but with a rated voltage and current, feeds a resistance that
    takes them, and one without either feeds nothing.
    """
    expectation = expect(job, rules, with_curve=False)
    spans = expectation.spans
    try:
        loads, lacking = job_loads(job), []
    except ValueError as problem:
        loads, lacking = (), [str(problem)]
    if not loads and not lacking:
        lacking.append("no [[load]], and no secondary with rated_voltage and rated_current")
    lacking += [
        f"no resistance of {one.name} without its wire, the core's size or room between margins"
        for one in job.winding
        if spans[one.name].resistance is None
    ]
    if lacking:
        raise NotOnLoad(lacking)
    fed_on = {one.winding for one in loads}
    taken = [f"{one.name} feeds nothing: no load and no ratings" for one in job.secondaries if one.name not in fed_on]
    windings = tuple(_winding(one.name, spans) for one in job.winding)
    taken += [
        f"{one.name} is tapped off its middle ({one.half_turns[0]:g} and {one.half_turns[1]:g} turns): its amps are "
        "the RMS of both halves together, one of which carries more"
        for one in windings
        if one.half_turns is not None and one.half_turns[0] != one.half_turns[1] and _by_halves(one.name, loads)
    ]
    leakage = winding_leakage(job)
    if leakage is None:
        taken.append("no leakage between windings: not all of them have a place on the former")
    core = magnetic_core(job, rules["assembly"])
    if core is None:
        taken.append("no exciting current and no core loss: the core's size or its steel is not known")
    return LoadedUnit(
        job=job,
        windings=windings,
        leakage=np.zeros((len(job.winding), len(job.winding))) if leakage is None else leakage,
        loads=loads,
        core=core,
        u_log_resistance=expectation.fed_span.u_log_resistance,
        taken=tuple(taken),
    )


def job_loads(job: Job) -> tuple[Load, ...]:
    """What the windings feed, in the job's order; raises ValueError for a load that can't be made of what is known."""
    check_loads(job.load, job.winding)
    written = {one.winding for one in job.load}
    loads = [_load(job, one) for one in job.load]
    for one in job.secondaries:
        if one.name not in written and one.rated_voltage is not None and one.rated_current is not None:
            loads.append(ResistiveLoad.rated(one.name, one.rated_voltage, one.rated_current))
    return tuple(loads)


_CIRCUITS = {"bridge": Circuit.BRIDGE, "full-wave": Circuit.FULL_WAVE, "half-wave": Circuit.HALF_WAVE}
_FILTERS = {"capacitor": Filter.CAPACITOR_INPUT, "choke": Filter.CHOKE_INPUT}


def _load(job: Job, one: JobLoad) -> Load:
    if one.rectifier == "none":
        return ResistiveLoad.rated(one.winding, _rated_volts(job, one), one.current)
    silicon = one.diode_drop is None and one.diode_resistance is None
    diode = SILICON if silicon else Diode(one.diode_drop or 0.0, one.diode_resistance or 0.0)
    circuit = _CIRCUITS[one.rectifier]
    if one.filter == "none":
        volts, winding = _rated_volts(job, one), job.get_winding(one.winding)
        shares = [1.0]
        if circuit is Circuit.FULL_WAVE:
            shares = [turns / winding.turns for *_, turns in winding.sections] if winding.turns else [0.5, 0.5]
        return RectifierLoad.rated(one.winding, circuit, diode, [volts * share for share in shares], one.current)
    return RectifierLoad(
        winding=one.winding,
        circuit=circuit,
        filter=_FILTERS[one.filter],
        diode=diode,
        dc_current=one.current,
        capacitance=one.capacitance or 0.0,
        choke_inductance=one.choke or 0.0,
        choke_resistance=one.choke_resistance or 0.0,
    )


def _rated_volts(job: Job, one: JobLoad) -> float:
    volts = job.get_winding(one.winding).rated_voltage
    if volts is None:
        raise ValueError(f"the load of {one.winding} is {one.current:g} A and no winding.{one.winding}.rated_voltage")
    return volts


def _by_halves(name: str, loads: Sequence[Load]) -> bool:
    return any(
        isinstance(one, RectifierLoad) and one.winding == name and one.circuit is Circuit.FULL_WAVE for one in loads
    )


def _winding(name: str, spans: dict[str, Span]) -> LoadedWinding:
    whole = spans[name]
    assert whole.resistance is not None
    halves = [one for one in spans.values() if one.winding == name and not one.whole]
    if len(halves) != 2:
        return LoadedWinding(name, abs(whole.turns), whole.resistance)
    first, second = halves
    ohms = None if first.resistance is None or second.resistance is None else (first.resistance, second.resistance)
    return LoadedWinding(name, abs(whole.turns), whole.resistance, ohms, (abs(first.turns), abs(second.turns)))
