"""A plan of the winding as a winder goes through it: turns, rests, and stops where the hand has work to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from bench.design.plan import Direction, PlannedLayer, PlannedScreen, PlannedTap, PlannedWinding, WindingPlan
from bench.workshop.winder import Winder

__all__ = ["Place", "Rest", "Step", "Stop", "Wind", "course_of", "duration", "wire_words"]


@dataclass(frozen=True)
class Stop:
    """The machine waits until the person lets it go on; message: what is to be done before."""

    message: str


@dataclass(frozen=True)
class Rest:
    """Both axes stand for some seconds [s]."""

    seconds: float


@dataclass(frozen=True)
class Place:
    """The traverse goes to a place [m from the left flange's inner face], spindle at rest; direction: of what is wound
    from there, so that it is reached from the side that leaves no play."""

    position: float
    direction: Direction


@dataclass(frozen=True)
class Wind:
    """turns: more of them, positive clockwise seen from the left flange;  position: of the traverse [m] at the end;
    direction: of the traverse;  speed [turns/s]."""

    turns: int
    position: float
    direction: Direction
    speed: float


Step = Stop | Rest | Place | Wind


def course_of(plan: WindingPlan, winder: Winder, only: str = "") -> tuple[Step, ...]:
    """All steps from the first stop to the last, for the whole plan or for the one winding named `only`.

    Nothing moves before the first stop.  The hand is asked at the start and finish of each winding, at each tap, after
    each layer where insulation is laid between layers, and for each insulation and screen between windings.  Strands
    in hand are wound as one: a turn of all of them.  Raises ValueError for a winding that the plan does not have.
    """
    names = [one.name for one in plan.windings]
    if only and only not in names:
        raise ValueError(f"no winding {only!r}, expected one of {', '.join(names)}")
    steps: list[Step] = [
        Stop(
            "zero: guide at the left flange, spindle at its mark; guard closed, hair and sleeves away, foot switch "
            "at hand, then start"
        )
    ]
    follows = False
    for item in plan.items:
        if isinstance(item, PlannedWinding):
            follows = only in ("", item.name)
            if follows:
                steps += _winding(item, plan, winder)
        elif follows:
            steps.append(Stop(_screen_words(item)))
        if follows:
            steps.append(Stop(f"lay {_mm(plan.between_windings)} of insulation over {_name(item)}"))
    return tuple(steps)


def duration(steps: tuple[Step, ...]) -> float:
    """Time [s] that the spindle turns and rests; what the hand does at the stops comes on top."""
    return sum(
        abs(step.turns) / step.speed if isinstance(step, Wind) else step.seconds
        for step in steps
        if isinstance(step, Wind | Rest)
    )


def wire_words(planned: PlannedWinding) -> str:
    """The wire as one asks for it at the shelf, such as `0.9 mm, 2 in hand`."""
    wire = planned.winding.wire
    assert wire is not None
    return wire.name + (f", {planned.winding.strands} in hand" if planned.winding.strands > 1 else "")


def _winding(planned: PlannedWinding, plan: WindingPlan, winder: Winder) -> Iterator[Step]:
    winding, first = planned.winding, planned.layers[0]
    yield Place(first.start, first.direction)
    yield Stop(f"{planned.name}: wire {wire_words(planned)}; fasten start {winding.start} at the left flange")
    for layer in planned.layers:
        done = 0
        for tap in layer.taps:
            yield from _turns(layer, done, tap.turn - layer.first_turn, winding.polarity, winder)
            yield Stop(_tap_words(planned, tap))
            done = tap.turn - layer.first_turn
        yield from _turns(layer, done, layer.turns, winding.polarity, winder)
        if layer is planned.layers[-1]:
            total = layer.first_turn + layer.turns
            yield Stop(f"{planned.name}: {total} turns wound; fasten finish {winding.finish}, cut the wire")
        elif plan.between_layers > 0:
            yield Stop(
                f"{planned.name}: layer {layer.number} of {len(planned.layers)} full, "
                f"{layer.first_turn + layer.turns} turns; lay {_mm(plan.between_layers)} of insulation"
            )
        else:
            yield Rest(winder.traverse.settle_s)


def _turns(layer: PlannedLayer, done: int, until: int, polarity: int, winder: Winder) -> Iterator[Wind]:
    """From `done` to `until` turns of the layer, the last of them slowly."""
    # The traverse may be what can't go faster: thick wire in hand.
    most = winder.traverse.most_mm_per_minute * 1e-3 / layer.pitch
    slow_from = max(done, until - winder.spindle.slow_turns)
    for begin, end, per_minute in (
        (done, slow_from, winder.spindle.turns_per_minute),
        (slow_from, until, winder.spindle.slow_turns_per_minute),
    ):
        if end > begin:
            position = layer.start + layer.direction * end * layer.pitch
            yield Wind(polarity * (end - begin), position, layer.direction, min(per_minute, most) / 60)


def _tap_words(planned: PlannedWinding, tap: PlannedTap) -> str:
    lead = next(str(one.lead) for one in planned.winding.taps if one.name == tap.name)
    return f"{planned.name}: turn {tap.turn}, tap {tap.name}; bring out {lead or 'its lead'}"


def _screen_words(item: PlannedScreen) -> str:
    # Common practice, no source: a closed screen is a shorted turn.
    name = "" if item.screen.name == "screen" else f" {item.screen.name}"
    return (
        f"lay screen{name}, {item.screen.material} {_mm(item.width)} wide, {_mm(item.length)} long; its "
        f"ends overlap and never touch; lead {item.screen.lead}"
    )


def _name(item: PlannedWinding | PlannedScreen) -> str:
    return item.name if isinstance(item, PlannedWinding) else item.screen.name


def _mm(length: float) -> str:
    return f"{length * 1e3:.4g} mm"
