"""Volts on load at rated supply, and regulation: each winding by itself, then all together where the resistors do."""

from __future__ import annotations

from collections.abc import Generator, Mapping
from dataclasses import replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import SECOND_LOOK, agree, at_fault, judge, not_repeated
from bench.acceptance.load_bank import LoadChoice, Piece, choose_load, pieces
from bench.acceptance.requests import Enter, Load, Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.steps.open_circuit import beyond_the_meter
from bench.acceptance.steps.spans_by_volts import Read, read_again, read_against_primary
from bench.estimate import Estimate
from bench.job.expectation import Span
from bench.job.on_load import copper_at, resistor_volts
from bench.quantities import Dimension, show
from drivers.reading import Quantity, State

ABOUT = About(
    words="volts on load at rated supply, and regulation",
    mains=True,
    feeds=True,
    rules_out=("strand_open", "joint_poor", "wire_wrong"),
    guards=("conditions", "insulation", "first_power"),
    minutes=5.0,
    minutes_each=2.0,
)

_WARM = 333.15
"""Copper at work [K]: 60 degC, as the design takes it (common practice, no source)."""
_AROUND = 1.5  # a load that was asked for lies between this many times too much and too little


def plan(context: Context) -> list[PlannedStep]:
    rated = list(rated_loads(context))
    alone = []
    for winding in context.job.secondaries:
        alone.append(PlannedStep(f"loaded:{winding.name}", _label(winding.name), required=False))
        if winding.name in rated:
            step = f"regulation:{winding.name}"
            alone.append(PlannedStep(step, f"regulation of {winding.name}", required=False))
    together = rated if len(rated) > 1 else []
    return alone + [PlannedStep(f"loaded_all:{name}", _label_all(name), required=False) for name in together]


def run(context: Context) -> Steps:
    """A load on each winding in turn, then on all; volts to zero before any of them is moved."""
    rated = rated_loads(context)
    for winding in context.job.secondaries:
        if winding.name not in rated:
            context.skip(f"loaded:{winding.name}", _why_not(context, winding.name), required=False)
    shelf = pieces(context.equipment.load_resistors)
    chosen: dict[str, LoadChoice] = {}
    for name in rated:
        try:
            beyond = beyond_the_meter(context, context.expectation.spans[name])
            if beyond:
                raise Skipped(beyond)
            chosen[name] = yield from choice_for(context, f"loaded:{name}", name, shelf)
            yield from _alone(context, name, chosen[name])
        except Skipped as reason:
            for kind in ("loaded", "regulation"):
                _leave(context, f"{kind}:{name}", str(reason))
        yield from context.unload("load")
    if len(rated) > 1:
        yield from _together(context, rated, chosen, shelf)
    yield from context.unload("load")
    yield from context.switch_off("load")


def rated_loads(context: Context) -> dict[str, float]:
    """Ohms that take the rated current at the rated volts, by secondary; only where the design says their ohms too."""
    spans = context.expectation.spans
    return {
        one.name: one.rated_voltage / one.rated_current
        for one in context.job.secondaries
        if one.rated_voltage and one.rated_current and spans[one.name].resistance is not None
        and context.expectation.fed_span.resistance is not None
    }  # fmt: skip


def choice_for(context: Context, step: str, name: str, shelf: tuple[Piece, ...]) -> Generator[Request, Any, LoadChoice]:
    """A load of the bench's own, or one that was asked for; raises Skipped where there is neither."""
    ohms, volts = rated_loads(context)[name], _unloaded(context, name)
    own = choose_load(shelf, ohms, volts, context.rules["load"]["resistor_within"])
    if own is not None:
        return own
    ask = Enter(
        step,
        Quantity.LOAD_RESISTANCE,
        f"No load of this bench suits {name}. A resistor of about {show(ohms, 'ohm', 3)} that bears "
        f"{show(volts**2 / ohms, 'W', 2)} for some minutes? Its ohms; skip where there is none.",
        "ohm",
        expected=ohms,
    )
    typed, _ = yield from entered(ask, Dimension.RESISTANCE, ohms / _AROUND, ohms * _AROUND)
    return LoadChoice(typed.value, context.rules["load"]["asked_tolerance"], show(typed.value, "ohm", 3))


def hang(context: Context, step: str, name: str, load: LoadChoice) -> Steps:
    """The load on its winding."""
    span = context.expectation.spans[name]
    volts = _unloaded(context, name)
    yield from context.load(
        Load(
            step,
            name,
            span.from_terminal,
            span.to_terminal,
            ohms=load.ohms,
            amps=volts / load.ohms,
            watts=volts**2 / load.ohms,
            text=f"Load {name} with {load.words}.",
            cautions=context.cautions.of(Hazard.LOAD_HEAT),
        )
    )


def _alone(context: Context, name: str, load: LoadChoice) -> Steps:
    yield from hang(context, f"loaded:{name}", name, load)
    results = yield from _read(context, "loaded", {name: load})
    for result in results.values():
        yield StepDone(result)
        yield from _regulation(context, name, result)
    if name not in results:
        _leave(context, f"regulation:{name}", f"the volts of {name} on load were not read")


def _together(
    context: Context, rated: Mapping[str, float], chosen: Mapping[str, LoadChoice], shelf: tuple[Piece, ...]
) -> Steps:
    loads: dict[str, LoadChoice] = {}
    why = ""
    left = shelf
    for name, ohms in rated.items():
        before = chosen.get(name)
        if before is None:
            why = f"{name} has no load"
            break
        load: LoadChoice | None = before
        if before.used:
            volts = _unloaded(context, name)
            load = choose_load(left, ohms, volts, context.rules["load"]["resistor_within"])
        if load is None:
            why = "the load resistors do not suffice for all windings at once"
            break
        loads[name] = load
        left = tuple(one for one in left if one not in load.used)
    if not why:
        try:
            for name, load in loads.items():
                yield from hang(context, f"loaded_all:{name}", name, load)
            results = yield from _read(context, "loaded_all", loads)
            for result in results.values():
                yield StepDone(result)
            return
        except Skipped as reason:
            why = str(reason)
    for name in rated:
        _leave(context, f"loaded_all:{name}", why)


def _read(
    context: Context, kind: str, loads: Mapping[str, LoadChoice]
) -> Generator[Request, Any, dict[str, StepResult]]:
    """Each loaded winding against the primary; what would be rejected is read twice."""
    feed = context.feed(kind, context.expectation.voltage, "variac")
    spans = [context.expectation.spans[name] for name in loads]
    first = yield from read_against_primary(context, kind, spans, feed)
    results = {name: _judge(context, kind, name, loads, read) for name, read in first.items()}
    doubtful = [context.expectation.spans[n] for n, one in results.items() if one.verdict is Verdict.REJECTED]
    if doubtful:
        again = yield from read_again(context, kind, doubtful, feed, SECOND_LOOK)
        for name, read in again.items():
            if isinstance(read, str):
                results[name] = not_repeated(results[name], read)
                continue
            second = _judge(context, kind, name, loads, read)
            both = f"read twice, told {results[name].measured:.4g} and {second.measured:.4g} V"
            results[name] = second if agree(results[name], second) else at_fault(second, both)
    yield from context.switch_off(kind)
    return {name: replace(one, required=False) for name, one in results.items()}


def _judge(context: Context, kind: str, name: str, loads: Mapping[str, LoadChoice], read: Read) -> StepResult:
    """Volts as they would be with every winding at its rated load: the design tells the small part that was not."""
    ratio, reading, reference = read
    rules, expectation = context.rules["load"], context.expectation
    nominal = expectation.voltage
    copper = copper_at(context.temperature)
    rated = rated_loads(context)
    true = {one: load.ohms for one, load in loads.items()}
    as_loaded = resistor_volts(expectation, true, nominal, copper)[name]
    in_full = resistor_volts(expectation, rated, nominal, copper)[name]
    warm = resistor_volts(expectation, rated, nominal, copper_at(_WARM))[name]
    unloaded = nominal * abs(expectation.ratio(name)) * (1 - expectation.drop(nominal))
    volts = ratio * (nominal * in_full / as_loaded)
    lost = 1 - as_loaded / unloaded
    volts = volts.also("load resistor", volts.value * lost * loads[name].tolerance / 3**0.5)
    u_copper = expectation.fed_span.u_log_resistance
    volts = volts.also("brought to rated load", volts.value * abs(in_full / as_loaded - 1) * (2 * u_copper + 0.05))
    winding = context.job.get_winding(name)
    stated = winding.rated_voltage if winding.rated_at == "load" else None
    centre, basis = (in_full, rules["design_basis"]) if stated is None else (stated, rules["basis"])
    result = judge(
        f"{kind}:{name}",
        _label(name) if kind == "loaded" else _label_all(name),
        "voltage_ac",
        name,
        "V",
        volts,
        lower=centre * (1 - rules["within_rated"]),
        upper=centre * (1 + rules["within_rated"]),
        basis=basis,
        expected=in_full,
        readings=(reading, reference),
        at_volts=reference.value,
    )
    told = f"{loads[name].words}; copper cold, at 60 °C the design gives {show(warm, 'V')}"
    if kind == "loaded" and len(rated) > 1:
        told += f"; loaded alone, brought to all windings loaded by {(in_full / as_loaded - 1) * 100:+.1f} %"
    return replace(result, note=f"{result.note}; {told}" if result.note else told)


def _regulation(context: Context, name: str, loaded: StepResult) -> Steps:
    """(Vnl - Vfl) / Vfl with the volts of the open-circuit step; what both readings share cancels."""
    step = f"regulation:{name}"
    idle = next((one for one in context.results if one.id == f"open_circuit:{name}"), None)
    if idle is None or idle.measured is None or loaded.measured is None or loaded.verdict is Verdict.TROUBLE:
        _leave(context, step, "needs the volts without load and on load")
        return
    found = _estimate(idle) / _estimate(loaded) - 1.0
    design = context.expectation
    in_full = resistor_volts(design, rated_loads(context), design.voltage, copper_at(context.temperature))[name]
    unloaded = design.voltage * abs(design.ratio(name)) * (1 - design.drop(design.voltage))
    yield StepDone(
        StepResult(
            step, f"regulation of {name}", "regulation", name, found.value, State.GOOD, "share", Verdict.ACCEPTED,
            required=False, expected=unloaded / in_full - 1, u=found.u, components=found.components,
            basis=context.rules["load"]["regulation_basis"], at_volts=loaded.at_volts,
            note="stated, copper cold",
        )
    )  # fmt: skip


def _estimate(result: StepResult) -> Estimate:
    assert result.measured is not None
    return Estimate(result.measured, {c.source: c.u * c.sensitivity for c in result.components})


def _unloaded(context: Context, name: str) -> float:
    span: Span = context.expectation.spans[name]
    return context.expectation.voltage * abs(context.expectation.ratio(span.name))


def _leave(context: Context, step: str, reason: str) -> None:
    """Not done, once."""
    known = {one.id for one in context.not_done} | {one.id for one in context.results}
    if step not in known:
        context.skip(step, reason, required=False)


def _why_not(context: Context, name: str) -> str:
    winding = context.job.get_winding(name)
    if winding.rated_voltage is None or winding.rated_current is None:
        return f"the job does not say winding.{name}.rated_voltage and rated_current"
    return "the design does not say the ohms of this winding and of the primary"


def _label(name: str) -> str:
    return f"volts of {name} on load"


def _label_all(name: str) -> str:
    return f"volts of {name}, all on load"
