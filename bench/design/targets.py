"""From a job and the wire on the shelf to the problem that a design search solves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bench.design.class_check import STANDARD
from bench.design.core_drawn import magnetic_core
from bench.design.fill import Room, WireOption
from bench.design.insulation_taken import insulation_taken
from bench.design.problem import Aim, DesignProblem, SecondaryTarget
from bench.design.rise_on_load import WARM
from bench.job.bench_file import ReelOfWire, Winder
from bench.job.load import Load
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.job.winding import Winding
from bench.job.wire import Wire, overall_diameter, parse_wire
from bench.magnetics.copper import at_temperature
from bench.magnetics.former import winding_length
from bench.magnetics.thermal_class import thermal_class

__all__ = ["all_sizes", "needs_for_design", "problem_of", "shelf_options"]

_MOST_STRANDS = 3
_USUAL_FLUX = 1.2
"""Flux density [T] at nominal where nobody says it: non-oriented sheet in a small E-I core (common practice)."""
_FIRST_REGULATION = 1.08
"""Volts by turns over those on load, before anything is laid (common practice; the search works it out)."""
_FIRST_RMS_OF_RAIL = {False: 0.85, True: 1.2}
"""RMS volts of a winding (of one half) over the rail with a capacitor, with a choke, as a first guess (memory)."""
_FIRST_RMS = {"none": 1.0, "bridge": 1.8, "full-wave": 1.2, "half-wave": 2.3}
"""RMS current of a winding over the direct current of its rectifier with a capacitor, as a first guess (memory)."""


def needs_for_design(job: Job) -> list[str]:
    """Keys that a job must hold before a design can be searched."""
    needs = []
    if job.supply is None:
        needs.append("supply.voltage and supply.frequency")
    if job.core.shape is None:
        needs.append("core.lamination, or core.tongue, window_width and window_height")
    if job.core.stack is None:
        needs.append("core.stack")
    if job.primary is None:
        needs.append("a winding with role = 'primary'")
    if not job.secondaries:
        needs.append("a winding with role = 'secondary'")
    loads = {one.winding: one for one in job.load}
    for one in job.secondaries:
        load = loads.get(one.name)
        if one.rated_voltage is None and (load is None or load.rail_voltage is None):
            needs.append(f"winding.{one.name}.rated_voltage, or a [[load]] with its rail_voltage")
        if one.rated_current is None and load is None:
            needs.append(f"winding.{one.name}.rated_current, or a [[load]]")
    needs += [
        f"winding.{name}.turns and wire, since targets.keep names it"
        for name in job.targets.keep
        if name not in {one.name for one in job.winding if one.turns is not None and one.wire is not None}
    ]
    return needs


def all_sizes() -> tuple[Wire, ...]:
    """The preferred sizes of IEC 60317-0-1 that this program knows, thinnest first."""
    return tuple(parse_wire(f"{row[0]} mm") for row in load_table("wires", "iec")["size_mm"])


def shelf_options(
    shelf: Sequence[ReelOfWire], strands: int = _MOST_STRANDS, winder: Winder | None = None
) -> tuple[WireOption, ...]:
    """Wires that may be taken, up to `strands` in hand: those on the shelf, or every preferred size if it is bare."""
    if shelf:
        wires = [(reel.size, reel.overall or overall_diameter(reel.size.diameter, 1)) for reel in shelf]
    else:
        wires = [(size, overall_diameter(size.diameter, 1)) for size in all_sizes()]
    thinnest, thickest = (0.0, 1.0) if winder is None else (winder.thinnest or 0.0, winder.thickest or 1.0)
    most = strands if winder is None else min(strands, winder.strands)
    return tuple(
        WireOption(wire.name, wire.diameter, overall, n)
        for wire, overall in wires
        if thinnest <= wire.diameter <= thickest
        for n in range(1, most + 1)
    )


def problem_of(
    job: Job,
    rules: dict[str, Any],
    options: tuple[WireOption, ...],
    regulation: dict[str, float] | None = None,
    current: dict[str, float] | None = None,
) -> DesignProblem:
    """The problem; regulation, current [A rms] by secondary as the last round found them.  Raises ValueError with what
    is missing, and for a window without room."""
    needs = needs_for_design(job)
    if needs:
        raise ValueError("the design needs " + ", ".join(needs))
    shape, stack, supply, primary = job.core.shape, job.core.stack, job.supply, job.primary
    assert shape is not None
    assert stack is not None
    assert supply is not None
    assert primary is not None
    steel = job.core.steel or "nonoriented-unknown"
    known = job.model_copy(update={"core": job.core.model_copy(update={"steel": steel})})
    core = magnetic_core(known, rules["assembly"])
    assert core is not None
    taken = insulation_taken(job.insulation)
    flux = job.targets.flux_density or _USUAL_FLUX
    loads = {one.winding.partition(".")[0]: one for one in job.load}
    return DesignProblem(
        shape=shape,
        room=Room(
            tongue=shape.tongue,
            stack=stack,
            start=taken.former,
            width=shape.window_width * job.targets.window_fill,
            length=winding_length(shape.window_height, taken.margin, taken.former),
            interlayer=taken.between_layers,
            heat=at_temperature(1.0, 293.15, WARM),
        ),
        core=core,
        primary=primary.name,
        voltage=supply.voltage,
        frequency=supply.frequency,
        tolerance=supply.tolerance,
        secondaries=tuple(
            _secondary(one, job, loads.get(one.name), (regulation or {}).get(one.name), (current or {}).get(one.name))
            for one in job.secondaries
        ),
        order=tuple(one.name for one in job.winding),
        options={one.name: _options(one, job, options) for one in job.winding},
        after={
            one.name: taken.between_windings
            + sum(screen.thickness + taken.between_windings for screen in job.screen if screen.after == one.name)
            for one in job.winding
        },
        most_flux=flux,
        most_flux_high=job.targets.flux_density_high or flux * (1 + supply.tolerance),
        most_rise=_most_rise(job),
        volts_within=job.targets.volts_within,
        aim=Aim(job.targets.objective),
        free_after=_free_after(job),
    )


def _secondary(
    one: Winding, job: Job, load: Load | None, regulation: float | None, current: float | None
) -> SecondaryTarget:
    rail = None if load is None else load.rail_voltage
    volts, rated = rail or one.rated_voltage or 0.0, one.rated_current or 0.0
    if current is None:
        current = rated if load is None else load.current * _FIRST_RMS[load.rectifier]
    if regulation is None and rail is not None and load is not None:
        regulation = _FIRST_RMS_OF_RAIL[load.filter == "choke"] * (2.0 if load.rectifier == "full-wave" else 1.0)
    if regulation is None:
        regulation = _FIRST_REGULATION if one.rated_at == "load" else 1.0
    return SecondaryTarget(
        name=one.name,
        volts=volts,
        regulation=regulation,
        current=current,
        whole=2 if len(one.taps) == 1 else 1,
        fixed=one.turns if one.name in job.targets.keep else None,
    )


def _options(one: Winding, job: Job, options: tuple[WireOption, ...]) -> tuple[WireOption, ...]:
    """Any wire; for a winding that stays, its own."""
    if one.name in job.targets.keep and one.wire is not None:
        overall = overall_diameter(one.wire.diameter, one.grade or 1)
        return (WireOption(one.wire.name, one.wire.diameter, overall, one.strands),)
    return options


def _free_after(job: Job) -> int | None:
    """The first winding stays first, and so does all up to the last screen: what is kept apart stays apart."""
    if job.targets.order == "as given":
        return None
    names = [one.name for one in job.winding]
    return max([1, *(names.index(screen.after) + 1 for screen in job.screen)])


def _most_rise(job: Job) -> float:
    letter = job.targets.temperature_class or "A"
    return thermal_class(load_table("limits", "insulation-classes"), STANDARD, letter).rise_allowed(298.15)
