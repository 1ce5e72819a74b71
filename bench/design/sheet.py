"""From a plan to the winding sheet: what the person at the machine needs, in the order of the work."""

from __future__ import annotations

from typing import Any

from bench.design.expected import NotEnough, expect
from bench.design.former_sizes import former_sizes
from bench.design.insulation_taken import insulation_taken
from bench.design.plan import PlannedLayer, PlannedScreen, PlannedWinding, WindingPlan
from bench.design.sheet_values import (
    LEAD_OUT,
    SPARE,
    LayerStep,
    LeadOut,
    Ohms,
    Restack,
    ScreenStep,
    Sheet,
    TapStep,
    WindingStep,
    WireReady,
)
from bench.design.trial_ratio import Trial, sheet_thickness, trials
from bench.job.expectation import Span
from bench.job.winding import Lead
from bench.magnetics.copper import wire_mass
from bench.magnetics.insulation import margin_wanted, paper_between_layers, volts_between_layers
from bench.magnetics.tension import winding_tension

__all__ = ["sheet_of"]

_AS_GOOD_AS_FULL = 1.5
"""Pitches that a layer may lack and still end at the flange."""


def sheet_of(plan: WindingPlan, rules: dict[str, Any]) -> Sheet:
    """The sheet of a plan;  rules: a table of profiles/limits, for the doubts of what should be read."""
    job = plan.job
    spans = _spans(plan, rules)
    by_winding = {trial.after: trial for trial in trials(plan, rules)}
    thickness = sheet_thickness(job.core)
    return Sheet(
        number=job.identity.number,
        name=job.identity.name,
        equipment=job.identity.equipment,
        supply_volts=None if job.supply is None else job.supply.voltage,
        supply_hertz=None if job.supply is None else job.supply.frequency,
        lamination=job.core.lamination,
        window_width=plan.shape.window_width,
        window_height=plan.shape.window_height,
        build=plan.outer,
        room_left=plan.room_left,
        margin=plan.margin,
        between_flanges=plan.between_flanges,
        between_layers=plan.between_layers,
        between_windings=plan.between_windings,
        margin_short=_margin_short(plan),
        not_stated=insulation_taken(job.insulation).not_stated,
        former=former_sizes(plan),
        steps=tuple(
            _winding(one, plan, spans, by_winding[one.name])
            if isinstance(one, PlannedWinding)
            else _screen(one, plan, by_winding[one.screen.after])
            for one in plan.items
        ),
        restack=Restack(
            stack=plan.stack,
            interleave=job.core.interleave,
            thickness=thickness,
            laminations=None if thickness is None else round(plan.stack * job.core.stacking_factor / thickness),
        ),
    )


def _spans(plan: WindingPlan, rules: dict[str, Any]) -> dict[str, Span]:
    """The readings that the test will expect, so that sheet and test say the same; none for a job without a supply."""
    try:
        return expect(plan.job, rules, with_curve=False).spans
    except NotEnough:
        return {}


def _winding(one: PlannedWinding, plan: WindingPlan, spans: dict[str, Span], trial: Trial) -> WindingStep:
    wire = one.winding.wire
    assert wire is not None
    low, high = _pull(wire.diameter)
    between = _volts_between(one, plan)
    return WindingStep(
        name=one.name,
        role=str(one.winding.role),
        turns=sum(layer.turns for layer in one.layers),
        sense=str(one.winding.sense),
        wire=_wire_ready(one),
        pull_low=low,
        pull_high=high,
        layers=tuple(_layer(layer, one, plan) for layer in one.layers),
        leads=_leads(one, plan),
        volts_between_layers=between,
        paper="" if between is None else str(paper_between_layers(between)),
        ohms=_ohms(one, spans),
        trial=trial,
        outer=one.outer,
        note=one.winding.note,
    )


def _pull(diameter: float) -> tuple[float, float] | tuple[None, None]:
    try:
        pull = winding_tension(diameter)
    except ValueError:  # the maker's chart ends
        return None, None
    return pull.working_low, pull.working_high


def _wire_ready(one: PlannedWinding) -> WireReady:
    wire = one.winding.wire
    assert wire is not None
    ends = 2 + 2 * len(one.winding.taps)
    ready = one.wire_length * (1 + SPARE) + ends * LEAD_OUT
    return WireReady(
        name=wire.name,
        diameter=wire.diameter,
        overall=one.overall,
        grade=one.winding.grade,
        strands=one.winding.strands,
        length=one.wire_length,
        ready=ready,
        mass=one.mass,
        ready_mass=wire_mass(ready, wire.diameter, one.winding.strands),
    )


def _layer(layer: PlannedLayer, one: PlannedWinding, plan: WindingPlan) -> LayerStep:
    last = layer.number == len(one.layers)
    return LayerStep(
        number=layer.number,
        turns=layer.turns,
        total=layer.first_turn + layer.turns,
        traverse="right" if layer.direction > 0 else "left",
        start=layer.start,
        end=layer.end,
        pitch=layer.pitch,
        taps=tuple(TapStep(tap.name, tap.turn, tap.in_layer, tap.position) for tap in layer.taps),
        empty=max(0.0, plan.length - layer.turns * layer.pitch),
        insulation_after=plan.between_windings if last else plan.between_layers,
        cover=last,
    )


def _leads(one: PlannedWinding, plan: WindingPlan) -> tuple[LeadOut, ...]:
    found = [_lead_out("start", 0, one.layers[0].start, one.layers[0], one.winding.start, plan)]
    for layer in one.layers:
        found += [
            _lead_out(tap.name, tap.turn, tap.position, layer, one.winding.lead(tap.name), plan) for tap in layer.taps
        ]
    last = one.layers[-1]
    found.append(_lead_out("finish", last.first_turn + last.turns, last.end, last, one.winding.finish, plan))
    return tuple(found)


def _lead_out(end: str, turn: int, position: float, layer: PlannedLayer, lead: Lead, plan: WindingPlan) -> LeadOut:
    near = _AS_GOOD_AS_FULL * layer.pitch
    left, right = position - plan.margin, plan.margin + plan.length - position
    flange = "left" if left <= min(near, right) else "right" if right <= near else ""
    return LeadOut(end, turn, flange, position, lead.tag, lead.colour, lead.side)


def _volts_between(one: PlannedWinding, plan: WindingPlan) -> float | None:
    supply, primary = plan.job.supply, plan.job.primary
    if supply is None or primary is None or primary.turns is None or len(one.layers) < 2:
        return None
    per_turn = supply.voltage * (1 + supply.tolerance) / primary.turns
    return volts_between_layers([layer.turns for layer in one.layers], per_turn)


def _ohms(one: PlannedWinding, spans: dict[str, Span]) -> tuple[Ohms, ...]:
    own = [span for span in spans.values() if span.winding == one.name and span.resistance is not None]
    if not own:
        return (Ohms(one.name, one.resistance, None),)
    return tuple(
        Ohms(span.name, span.resistance, span.resistance * span.u_log_resistance)
        for span in own
        if span.resistance is not None
    )


def _screen(one: PlannedScreen, plan: WindingPlan, trial: Trial) -> ScreenStep:
    screen = one.screen
    return ScreenStep(
        name=screen.name,
        after=screen.after,
        material=screen.material,
        thickness=screen.thickness,
        width=one.width,
        length=one.length,
        overlap_insulated=screen.overlap_insulated,
        far="" if screen.far_lead is None else str(screen.far_lead),
        cover=plan.between_windings,
        tag=screen.lead.tag,
        colour=screen.lead.colour,
        side=screen.lead.side,
        fed=trial.fed,
        volts=trial.volts,
        one_turn=trial.one_turn,
        outer=one.outer,
    )


def _margin_short(plan: WindingPlan) -> float:
    supply = plan.job.supply
    if supply is None or len(plan.windings) < 2:
        return 0.0
    try:
        wanted = margin_wanted(supply.voltage * (1 + supply.tolerance))
    except ValueError:  # no rule reaches so far
        return 0.0
    short = wanted - plan.margin
    return short if short > 1e-6 else 0.0
