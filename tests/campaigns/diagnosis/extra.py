"""The measurements that a diagnosis advises, taken on a rehearsed unit: what a person would type as their answer."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

from bench.acceptance.requests import Connect, Take
from bench.acceptance.result import StepResult
from bench.diagnosis.looks import LOOKS
from bench.diagnosis.pairs import pair_of
from bench.diagnosis.typed import TypedReadings
from bench.job.expectation import Expectation, Span
from bench.rehearsal.chance import stream
from bench.rehearsal.parts import RESISTIVITY_20, Coil
from bench.rehearsal.supply import Source
from bench.rehearsal.unit import leakage_of
from bench.rehearsal.wiring import Connection, Excitation
from bench.rehearsal.wiring import Quantity as Plugged
from drivers.accuracy import Accuracy
from drivers.reading import Quantity
from tests.campaigns.decisions.meters import CLASSES, ClassMeter
from tests.campaigns.decisions.one_solution import Leads, SharedBench, shared_bench
from tests.campaigns.decisions.one_unit import forward_of
from tests.campaigns.decisions.population import Drawn
from tests.campaigns.decisions.time_at_the_bench import BenchTime
from tests.campaigns.diagnosis.population import Diagnosed

__all__ = ["answered", "typed_answer"]

_MOST_VOLTS = 25.0
"""What no terminal passes while a search coil is read."""
_HOOK_UP = 0.6e-3
"""Bare diameter of the search coil's wire [m]."""
_NOTHING = 1e-3
"""Volts that are next to none: a lead that hangs in the air shows some."""
_AT_FINISH = ("joint_poor",)
"""Faults that sit at a winding's finish where no section is named."""


def answered(
    one: Diagnosed, further: str, meter_class: str, design: Expectation | None = None, right: float | None = None
) -> StepResult | None:
    """The step that the answer becomes, None where this bench can't give one.

    design: what the unit is held against, where that is not its job as drawn.
    """
    text = typed_answer(one, further, meter_class, right)
    if text is None:
        return None
    return TypedReadings(design or forward_of(one.unit.name).design, {Quantity.VOLTAGE_AC: _leaflet(meter_class)}).step(
        text
    )


def typed_answer(one: Diagnosed, further: str, meter_class: str, right: float | None = None) -> str | None:
    """What is typed behind --reading for a measurement's id, such as `search:10=0.163 V@10.65 V`.

    right: how often a look is seen as it is.  Raises ValueError for what is no measurement.
    """
    head, _, name = further.partition(":")
    design = forward_of(one.unit.name).design
    match head:
        case "search":
            return _search(one.unit, design, int(name), meter_class)
        case "backfed":
            pair = pair_of(name, design.spans)
            if pair is None:
                raise ValueError(f"{further}: no two windings of {one.unit.name}")
            return _back_fed(one.unit, design, *pair, meter_class)
        case "look":
            fault, _, place = name.partition(":")
            seen = _is_there(one, fault, place)
            if stream(one.unit.seed, further).random() >= (LOOKS[fault].right if right is None else right):
                seen = not seen
            return f"{further}={'yes' if seen else 'no'}"
        case "stack_height" | "core_watts":
            return None  # the test reads the height itself, and a bench without a resistor reads no watts later either
    raise ValueError(f"{further}: no measurement of this campaign")


def _search(unit: Drawn, design: Expectation, turns: int, meter_class: str) -> str | None:
    """Turns of hook-up wire round the coil, with a few volts on the primary."""
    bench = shared_bench(unit)
    _lay_round(bench, unit, turns)
    fed = design.fed_span
    most = max(abs(span.turns / fed.turns) for span in design.spans.values())
    feed = Excitation(fed.from_terminal, fed.to_terminal, _MOST_VOLTS / max(1.0, most), Source.LOW_VOLTAGE)
    ends = (("search.start", "search.finish"), (fed.from_terminal, fed.to_terminal))
    read = _volts(bench, unit, feed, ends, meter_class)
    return None if read is None else f"search:{turns}={read[0]}@{read[1]}"


def _lay_round(bench: SharedBench, unit: Drawn, turns: int) -> None:
    """One more coil, outside all others."""
    shape = unit.job.core.shape
    assert shape is not None, "a rehearsed job has a lamination"
    outside = max(coil.depth + coil.build for coil in bench.unit.coils)
    length = max(coil.mean_turn for coil in bench.unit.coils)
    ohms = RESISTIVITY_20 * length * turns / (math.pi / 4 * _HOOK_UP**2)
    ends = ("search/start", "search/finish")
    coils = (*bench.unit.coils, Coil("search", *ends, float(turns), ohms, outside, _HOOK_UP, length))
    nodes = {**bench.unit.nodes, "search.start": ends[0], "search.finish": ends[1]}
    bench.unit = replace(bench.unit, coils=coils, nodes=nodes, leakage=leakage_of(coils, shape.window_height))


def _back_fed(unit: Drawn, design: Expectation, one: str, other: str, meter_class: str) -> str | None:
    """A third winding fed at its nominal volts; None where there is none."""
    taken = {design.spans[name].winding for name in (one, other)}
    free = [span for span in design.spans.values() if span.whole and span.winding not in taken]
    if not free:
        return None
    third = min(free, key=lambda span: abs(span.turns))
    volts = min(design.voltage * abs(third.turns / design.fed_span.turns), Source.VARIAC.most)
    feed = Excitation(third.from_terminal, third.to_terminal, volts, Source.VARIAC)
    ends = (_ends(design.spans[one]), _ends(design.spans[other]))
    read = _volts(shared_bench(unit), unit, feed, ends, meter_class)
    return None if read is None else f"backfed:{one}-{other}={read[0]}@{read[1]}"


def _ends(span: Span) -> tuple[str, str]:
    return span.from_terminal, span.to_terminal


def _volts(
    bench: SharedBench, unit: Drawn, feed: Excitation, places: tuple[tuple[str, str], ...], meter_class: str
) -> list[str] | None:
    """Volts at each of the places as the meter shows them, one after the other; None where one shows none."""
    time, leads = BenchTime(), Leads(bench, unit.seed)
    meter = ClassMeter(meter_class, leads, unit.seed, time)
    bench.excite(feed, time.now)
    shown = []
    for begin, end in places:
        bench.connect(Connection(Plugged.VOLTAGE_AC, begin, end), (), time.pass_by(10.0))
        connected = Connect("extra", Quantity.VOLTAGE_AC, begin, end)
        # It ranges by itself: by what is there, not by its largest range's offset.
        there = 1.02 * leads.voltage(time.now)
        reading = meter.take(Take("extra", Quantity.VOLTAGE_AC, there, 2), connected)
        if reading.value is None or reading.span is None or reading.value < _NOTHING:
            return None
        decimals = max(0, math.floor(-math.log10(reading.span / CLASSES[meter_class].counts) + 1e-9))
        shown.append(f"{reading.value:.{decimals}f} V")
    return shown


@cache
def _leaflet(meter_class: str) -> Accuracy:
    """What a person knows of the meter: per cent of reading, and counts in place of per cent of a range."""
    kind = CLASSES[meter_class]
    stated = kind.functions()[Quantity.VOLTAGE_AC].ranges[0].accuracy
    return Accuracy(stated.percent_of_reading, counts=stated.percent_of_range / 100 * kind.counts)


def _is_there(one: Diagnosed, fault: str, place: str) -> bool:
    """Whether the unit has the fault at the winding, or at the section, that is looked at."""
    if one.fault != fault:
        return False
    winding, _, section = one.winding.partition(".")
    looked_at, _, part = place.partition(".")
    if fault in _AT_FINISH:
        section = section or "finish"
    return not looked_at or (looked_at == winding and (not part or not section or part == section))
