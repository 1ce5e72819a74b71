"""The hidden truth as one document, for tests and campaigns only."""

from __future__ import annotations

from bench.rehearsal.counter_server import CounterBoard
from bench.rehearsal.faults import Fault
from bench.rehearsal.spindle import Spindle
from bench.rehearsal.workbench import Workbench

__all__ = ["truth_document"]


def truth_document(
    bench: Workbench, spindle: Spindle, board: CounterBoard, faults: tuple[Fault, ...], now: float
) -> dict[str, object]:
    """Everything that the instruments only hint at; SI units, temperature in K."""
    variation, iron = bench.variation, bench.unit.iron
    return {
        "schema": 1,
        "time": now,
        "spindle_turns": spindle.position(now),
        "edges": board.edges,
        "edges_per_turn": board.per_turn,
        "boot": board.boot,
        "faults": [str(fault) for fault in faults],
        "seed": variation.seed,
        "temperature": bench.temperature,
        "stack": bench.unit.stack,
        "core": {
            "steel": iron.steel.name,
            "area": iron.area,
            "path": iron.path,
            "gap": iron.gap,
            "field_scale": iron.field_scale,
            "loss_scale": iron.loss_scale,
            "bridge": iron.bridge,
        },
        "coils": [
            {
                "winding": coil.winding,
                "begin": coil.begin,
                "end": coil.end,
                "turns": coil.turns,
                "resistance_20": coil.resistance,
                "mean_turn": coil.mean_turn,
            }
            for coil in bench.unit.coils
        ],
        "contacts": [
            {"begin": contact.begin, "end": contact.end, "resistance": contact.resistance}
            for contact in bench.unit.contacts
        ],
        "insulation": {f"{one},{other}": ohms for (one, other), ohms in bench.unit.insulation.items()},
        "supply": {
            "frequency": bench.mains.frequency,
            "distortion": bench.mains.distortion,
            "level": bench.mains.level(now),
        },
        "meter_leads": variation.meter_leads,
    }
